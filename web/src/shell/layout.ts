import { byId, within } from "../basics/dom";
import { onPhone } from "./places";
import { recall, remember } from "../basics/remember";
import type { Insets } from "../view/view";

/** Remembers which panels are folded, and tells the view which edges the panels cover. */
export function watchLayout(setInsets: (insets: Insets) => void): void {
  const view = byId("view");
  const panels = [...document.querySelectorAll<HTMLDetailsElement>("details.panel")];
  const question = document.getElementById("class-question");
  const sheets: HTMLElement[] = [...panels, byId("plot"), ...(question ? [question] : [])];
  const above = [byId("readout")];
  const guide = byId("guide"); // on a phone it stands on the picture
  const below = within(document, ".hand-line");

  const measure = () => {
    const host = view.getBoundingClientRect();
    const insets: Insets = { left: 0, right: 0, top: 0, bottom: 0 };
    for (const sheet of sheets) {
      const box = sheet.getBoundingClientRect();
      const folded = sheet instanceof HTMLDetailsElement && !sheet.open;
      if (folded || box.width === 0 || !overlaps(box, host)) continue;
      if (box.width > 0.8 * host.width) continue; // On a narrow page it is not beside the view, but scrolls past behind it.
      if (box.left + box.right < host.left + host.right) insets.left = Math.max(insets.left, box.right - host.left);
      else insets.right = Math.max(insets.right, host.right - box.left);
    }
    for (const row of above) {
      const box = row.getBoundingClientRect();
      if (box.width > 0 && overlaps(box, host)) insets.top = Math.max(insets.top, box.bottom - host.top);
    }
    const box = below.getBoundingClientRect();
    // With words or without, so that the first ones do not move the picture. A phone has no room to spare: there they lie on its foot.
    if (!onPhone() && below.checkVisibility() && overlaps(box, host)) insets.bottom = host.bottom - box.top;
    const guideBox = guide.getBoundingClientRect();
    if (onPhone() && guideBox.width > 0 && overlaps(guideBox, host)) insets.bottom = Math.max(insets.bottom, host.bottom - guideBox.top);
    // A fraction of a pixel, which a line of text may be higher, does not move the camera.
    for (const edge of ["left", "right", "top", "bottom"] as const) insets[edge] = Math.ceil(insets[edge] - 0.5);
    setInsets(insets);
  };

  for (const panel of panels) {
    const kept = recall(`panel-${panel.id}`);
    if (kept) panel.open = kept === "open";
    panel.addEventListener("toggle", () => {
      remember(`panel-${panel.id}`, panel.open ? "open" : "folded");
      measure();
    });
  }
  const observer = new ResizeObserver(measure);
  observer.observe(view);
  for (const element of [...sheets, ...above, below, guide]) observer.observe(element);
  measure();
}

function overlaps(a: DOMRect, b: DOMRect): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
