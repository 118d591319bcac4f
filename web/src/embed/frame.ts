import { sharedURL } from "../address/share";
import { byId } from "../basics/dom";
import { embedded } from "../basics/remember";

/** The link that leads from a frame to the whole page, with what the frame shows. */
export function watchWhole(hash: () => string): void {
  if (!embedded) return;
  const link = byId<HTMLAnchorElement>("whole");
  const lead = (): void => {
    const url = sharedURL();
    url.searchParams.delete("embed");
    link.href = url.href + hash();
  };
  lead();
  for (const event of ["pointerenter", "focus", "click"]) link.addEventListener(event, lead);
}
