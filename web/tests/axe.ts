// What axe finds wrong with a page, or with parts of it.
import AxeBuilder from "@axe-core/playwright";
import type { Page } from "@playwright/test";

/** The rules of WCAG 2.2, levels A and AA. */
export const wcag = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"];

/** Every rule that is broken in these parts of the page, or in all of it, with where. */
export async function axe(page: Page, ...parts: string[]): Promise<string[]> {
  let look = new AxeBuilder({ page })
    .setLegacyMode() // in the page itself: there are no frames of other sites to look into
    .options({ resultTypes: ["violations"] }) // no list of what is right
    .withTags(parts.length > 0 ? [...wcag, "best-practice"] : wcag);
  for (const part of parts) look = look.include(part);
  const { violations } = await look.analyze();
  return violations.map(({ id, nodes }) => `${id}: ${nodes.map((n) => n.html.slice(0, 200)).join(" ")}`);
}
