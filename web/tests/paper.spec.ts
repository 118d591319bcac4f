// Worksheets on paper: printed by the browser on A4 and US Letter, measured as they are laid out, and looked at as pictures.
import { execFile, execFileSync } from "node:child_process";
import { appendFileSync, readFileSync, writeFileSync } from "node:fs";
import { expect, test, type Page } from "@playwright/test";

/** A paper's size in points of 1/72 inch, and how much of it is printed on, mm. */
const papers = {
  a4: { points: [595, 842], printed: [180, 264] },
  letter: { points: [612, 792], printed: [185.9, 246.4] },
} as const;

const lessons = process.env["THOROUGH"]
  ? ["joints-one-at-a-time", "where-the-numbers-start", "enabling-device", "the-right-hand", "straight-lines", "first-straight-line", "turning-about-the-tip", "base-tool-task", "which-frame", "limits-and-room", "when-it-will-not-go-on", "not-touching-things", "up-to-the-fixture", "two-ways", "the-origin-with-a-tape", "an-arm-askew", "finding-a-tcp", "teaching-a-frame"]
  : ["not-touching-things", "an-arm-askew"];

const sheet = (...args: string[]) =>
  new Promise<string>((done, fail) => execFile("../bin/handrule", ["sheet", ...args], { maxBuffer: 1 << 26 }, (error, html) => (error ? fail(error) : done(html))));

/** What is wrong with the layout: labels that lie over each other or are too small, parts that are too wide or too high. */
const faults = (page: Page, printed: readonly [number, number]) =>
  page.evaluate(([width, height]) => {
    const mm = 96 / 25.4; // px
    const wrong: string[] = [];
    for (const svg of document.querySelectorAll("svg")) {
      const texts = [...svg.querySelectorAll("text")].map((e) => ({ text: e.textContent!, size: parseFloat(getComputedStyle(e).fontSize) || 0, box: e.getBoundingClientRect() }));
      const of = svg.closest("section")?.querySelector("h2")?.textContent ?? "setting";
      const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
      texts.forEach((a, i) => {
        const points = (a.size * scale * 72) / 96;
        if (points < 7) wrong.push(`${of}: ${a.text} is of ${points} points`);
        for (const b of texts.slice(0, i)) {
          const across = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
          const down = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
          if (across > 0.5 && down > 0.5) wrong.push(`${of}: ${a.text} lies over ${b.text}`);
        }
      });
    }
    const setting = document.querySelector(".setting")!.getBoundingClientRect();
    if (setting.bottom - document.body.getBoundingClientRect().top > height! * mm) wrong.push(`what stands where ends ${setting.bottom / mm} mm down, and not on the first page`);
    for (const part of document.querySelectorAll("section, .setting")) {
      const box = part.getBoundingClientRect();
      const name = part.querySelector("h2, h3")!.textContent;
      if (box.height > height! * mm) wrong.push(`${name} does not fit a page: ${box.height / mm} mm`);
      for (const e of part.querySelectorAll("*:not(svg *)")) { // What reaches out of a drawing is cut off at its edge.
        if (e.getBoundingClientRect().right > box.left + width! * mm + 1) wrong.push(`${name}: ${e.tagName} ${e.textContent!.slice(0, 30)} is too wide`);
      }
    }
    return wrong;
  }, printed);

/** Notes a check that could not be made where the test run is to tell of it, as the Go tests do. */
function notMade(why: string): void {
  const path = process.env["HANDRULE_SKIPPED"];
  if (path) appendFileSync(path, `paper.spec.ts: ${why}\n`);
  else console.warn(why);
}

/** The pages of a PDF as grey pictures of 50 points an inch, or none where there is nothing to make them with. */
function pictures(pdf: string): { width: number; height: number; grey: Buffer }[] {
  try {
    execFileSync("pdftoppm", ["-r", "50", "-gray", pdf, pdf]);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    notMade("pdftoppm of the package poppler-utils is not here, so the printed pages were not looked at as pictures");
    return [];
  }
  const names = execFileSync("sh", ["-c", `ls "${pdf}"-*.pgm`], { encoding: "utf8" }).trim().split("\n");
  return names.map((name) => {
    const file = readFileSync(name);
    const [head, width, height] = /^P5\s(\d+) (\d+)\s255\s/.exec(file.toString("latin1", 0, 40))!;
    return { width: Number(width), height: Number(height), grey: file.subarray(head.length) };
  });
}

for (const [paper, { points, printed }] of Object.entries(papers)) {
  for (const lang of ["en", "es"]) {
    test(`worksheets on ${paper}, ${lang}: everything is on the page, and no label lies over another`, async ({ page }, info) => {
      for (const lesson of lessons) {
        for (const key of [false, true]) {
          const html = await sheet("--paper", paper, "--lang", lang, ...(key ? ["--answers"] : []), lesson);
          await page.setViewportSize({ width: Math.round((printed[0] * 96) / 25.4), height: 900 });
          await page.emulateMedia({ media: "print" });
          await page.setContent(html);
          expect(await faults(page, printed), lesson).toEqual([]);

          const pdf = await page.pdf({ preferCSSPageSize: true });
          const sizes = [...pdf.toString("latin1").matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map((m) => [Math.round(Number(m[1])), Math.round(Number(m[2]))]);
          expect(sizes.length).toBeGreaterThan(1);
          for (const size of sizes) expect(size).toEqual(points);

          if (key) continue;
          const path = info.outputPath(`${lesson}.pdf`);
          writeFileSync(path, pdf);
          for (const [i, { width, height, grey }] of pictures(path).entries()) {
            const ink = (fromX: number, fromY: number, toX: number, toY: number) => {
              let dark = 0;
              for (let y = Math.floor(fromY * height); y < toY * height; y++) for (let x = Math.floor(fromX * width); x < toX * width; x++) if (grey[y * width + x]! < 160) dark++;
              return dark;
            };
            const name = `${lesson}, page ${i + 1}`;
            expect(ink(0, 0, 0.06, 1) + ink(0.94, 0, 1, 1) + ink(0, 0, 1, 0.04), `${name}: the margins`).toBe(0);
            expect(ink(0.06, 0.05, 0.94, 0.93), `${name}: what is printed`).toBeGreaterThan(300);
            expect(ink(0.8, 0.94, 0.94, 1), `${name}: the page's number`).toBeGreaterThan(3);
            expect(ink(0.06, 0.94, 0.5, 1), `${name}: the title at the foot`).toBeGreaterThan(10);
          }
        }
      }
    });
  }
}

test("two tasks share a page, also on the shorter paper", async ({ page }) => {
  for (const paper of Object.keys(papers)) {
    for (const [lesson, pages] of [["where-the-numbers-start", 5], ["teaching-a-frame", 6]] as const) {
      await page.setContent(await sheet("--paper", paper, lesson));
      const pdf = await page.pdf({ preferCSSPageSize: true });
      expect([...pdf.toString("latin1").matchAll(/\/MediaBox/g)].length, `${lesson} on ${paper}`).toBeLessThanOrEqual(pages);
    }
  }
});
