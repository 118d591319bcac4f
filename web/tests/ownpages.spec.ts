// The pages over the arm for one's own arm and for comparing with the real one: axe finds nothing, and nothing is cut off or outside, in every scheme, language and size.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { ready, settled, test } from "./bench";

const table = `joint	a_mm	alpha_deg	d_mm	theta_deg	lower_deg	upper_deg
J1	45	-90	310	0	-165	165
J2	370	0	0	-90	-80	120
J3	30	-90	0	0	-130	75
J4	0	90	395	0	-180	180
J5	0	-90	0	four	-115	115
J6	0	0	85	0	-350	350`;

async function paste(page: Page, into: string, text: string): Promise<void> {
  await page.locator(`${into} input`).first().focus();
  await page.evaluate((text) => {
    const data = new DataTransfer();
    data.setData("text/plain", text);
    document.activeElement!.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  }, text);
}

/** Each page empty and with something wrong in it, so that all it can say is there to be looked at. */
const pages = [
  ["own-arm", async (page: Page) => {
    await paste(page, "#own-arm-table", table);
    await expect(page.locator("#own-arm-table [aria-invalid=true]")).toHaveCount(1);
  }],
  ["real-arm", async (page: Page) => {
    await expect(page.locator("#real-arm-table input").first()).toBeVisible();
    await page.locator("#real-arm-table tr >> nth=1").locator("input").nth(6).fill("ten");
  }],
] as const;

/** What of a page over the arm is not wholly in the window's width: a table may be scrolled by itself. */
const outside = (page: Page, id: string): Promise<string[]> =>
  page.evaluate((id) => {
    const over = document.getElementById(id)!;
    const { left, right } = over.getBoundingClientRect();
    return [...over.querySelectorAll<HTMLElement>("h2, p, button, select, label, textarea, legend")]
      .filter((e) => e.checkVisibility() && !e.closest(".own-arm-table, .unseen"))
      .filter((e) => ((b) => b.left < left - 1 || b.right > right + 1 || e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== "inline")(e.getBoundingClientRect()))
      .map((e) => e.id || e.textContent!.trim().slice(0, 40));
  }, id);

for (const lang of ["en", "es"]) {
  for (const scheme of ["light", "dark", "projector"] as const) {
    if (!process.env["THOROUGH"] && (lang === "es") !== (scheme === "dark")) continue; // each language and each scheme is seen
    test(`${lang}, ${scheme}: the pages for an own arm and for a real one can be used by everybody`, async ({ page }) => {
      await page.emulateMedia({ colorScheme: scheme === "dark" ? "dark" : "light", reducedMotion: "reduce" });
      await page.addInitScript(() => localStorage.setItem("handrule-guide", "seen"));
      for (const [width, height] of [[1366, 768], [390, 844]] as const) {
        await page.setViewportSize({ width, height });
        await page.goto(`/?lang=${lang}`);
        await ready(page);
        if (scheme === "projector") await page.keyboard.press("p");
        for (const [id, fill] of pages) {
          await page.evaluate((id) => (location.hash = `#/${id}`), id);
          await expect(page.locator(`#${id}`)).toBeVisible();
          for (const state of ["empty", "filled"]) {
            if (state === "filled") await fill(page);
            await settled(page);
            const where = `${id}, ${state}, ${width}×${height}`;
            expect(await axe(page), where).toEqual([]);
            expect(await outside(page, id), where).toEqual([]);
          }
          await page.keyboard.press("Escape");
          await expect(page.locator(`#${id}`)).toBeHidden();
        }
        if (scheme === "projector") await page.keyboard.press("p");
      }
    });
  }
}
