// A URDF file brought to the page: what was understood, bodies that hold its meshes as the command's do, what is wrong and where, and the reading left off.
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, type Page } from "@playwright/test";
import { test, type V3 } from "./bench";
import { arm, choosing, files, shapes, urdf } from "./tern";

/** The corners of a prism in mm, moved from its link's frame to the base frame. */
function corners([wide, from, to, alongX]: (typeof shapes)[number], at: V3): V3[] {
  return Array.from({ length: 16 }, (_, i) => {
    const [a, b, c] = [wide * Math.cos((i * Math.PI) / 4), wide * Math.sin((i * Math.PI) / 4), i < 8 ? from : to];
    return ((alongX ? [c, a, b] : [a, b, c]) as V3).map((x, k) => 1000 * x + at[k]!) as V3;
  });
}

/** Where the frames of the links are with every joint at zero, mm. */
const frames: V3[] = [[0, 0, 0], [0, 0, 200], [0, 0, 400], [0, 0, 650], [0, 0, 650], [300, 0, 650], [300, 0, 650]];

/** How far a point is from a capsule's surface, negative within it. */
function outside(p: V3, from: V3, to: V3, radius: number): number {
  const along = to.map((x, k) => x - from[k]!);
  const length = along.reduce((sum, x) => sum + x * x, 0);
  const s = length === 0 ? 0 : Math.min(1, Math.max(0, along.reduce((sum, x, k) => sum + x * (p[k]! - from[k]!), 0) / length));
  return Math.hypot(...p.map((x, k) => x - from[k]! - s * along[k]!)) - radius;
}

/** The bodies of an arm file. */
const bodies = (file: string): { link: number; from: V3; to: V3; radius: number }[] =>
  Array.from(file.matchAll(/link: (\d), from_mm: \[(.*?)\], to_mm: \[(.*?)\], radius_mm: ([\d.]+)/g), ([, link, from, to, radius]) => ({
    link: Number(link), from: from!.split(",").map(Number) as V3, to: to!.split(",").map(Number) as V3, radius: Number(radius),
  }));

test.slow(); // The reader's program is compiled anew for each file.

/** Waits until a list tells that, however long the reading takes. */
const tells = (page: Page, list: "notes" | "problems", what: string | RegExp): Promise<unknown> =>
  page.waitForFunction(([id, is]) => new RegExp(is!).test(document.getElementById(id!)!.textContent!), [`own-arm-${list}`, typeof what === "string" ? what.replace(/[.*+?^${}()|[\]\\]/g, "\\$&") : what.source]);

test("a URDF file and its meshes become the arm that the command makes of them, with bodies that hold every corner", async ({ page }) => {
  const folder = test.info().outputPath("tern");
  mkdirSync(join(folder, "meshes"), { recursive: true });
  writeFileSync(join(folder, arm.name), arm.buffer);
  for (const { name, buffer } of files) writeFileSync(join(folder, "meshes", name), buffer);
  const command = execFileSync("../bin/handrule", ["import", join(folder, arm.name), "--meshes", folder, "-o", join(folder, "tern.yaml")], { encoding: "utf8" });
  const made = readFileSync(join(folder, "tern.yaml"), "utf8").replace(/^(#.*\n)+/, "");
  await choosing(page);
  await page.locator("#own-arm-folder-files").setInputFiles(folder);
  await tells(page, "notes", /body: \d+ capsules, which hold the file's shapes and meshes within them and stand off these by at most [\d.]+ mm/);
  await tells(page, "notes", /body: .*/.exec(command)![0]);
  await expect(page.locator("#own-arm-sliders li")).toHaveCount(6);
  await page.locator("#own-arm-take").click();
  await expect(page.locator("#own-arm")).toBeHidden(); // The arm is kept.
  const file = await page.evaluate(() => localStorage.getItem("handrule-own-arm-file")!);
  expect(file).toBe(made);
  const held = bodies(file);
  for (const [link, shape] of shapes.entries()) for (const p of corners(shape, frames[link]!)) expect(Math.min(...held.filter((b) => b.link === link).map((b) => outside(p, b.from, b.to, b.radius))), `${link} ${p}`).toBeLessThan(0.01);
});

test("what cannot be read is told at its place; meshes that were not chosen are named, and come along when they are", async ({ page }) => {
  await choosing(page);
  for (const part of ["**/importer.js", "**/import.wasm*"]) {
    await page.route(part, (route) => route.abort());
    await page.locator("#own-arm-file").setInputFiles(arm);
    await tells(page, "problems", "The reader of URDF files is not here yet");
    await page.unroute(part);
  }
  await page.locator("#own-arm-file").setInputFiles({ ...arm, buffer: Buffer.from(urdf.replace('type="revolute"', 'type="prismatic"')) });
  await tells(page, "problems", /Line \d+, column \d+: .*prismatic/);
  await expect(page.locator("#own-arm-take")).toBeDisabled();
  await page.locator("#own-arm-file").setInputFiles(arm);
  await tells(page, "notes", 'were not chosen with it: "package://tern/meshes/base.stl"');
  await tells(page, "notes", "a slim body from axis to axis stands in, because the file gives only meshes, which are not here");
  await page.locator("#own-arm-file").setInputFiles(files.map((file, i) => (i === 2 ? { ...file, buffer: Buffer.from("abc") } : file)));
  await tells(page, "notes", 'left out: the mesh "package://tern/meshes/l2.stl" on line 4 ends after 3 bytes');
  await tells(page, "notes", "which hold the file's shapes and meshes within them");
  // Another base is another arm, read anew.
  await page.locator("#own-arm-base").fill("nowhere");
  await page.locator("#own-arm-base").press("Tab");
  await tells(page, "problems", 'has no link "nowhere"');
  await page.locator("#own-arm-base").fill("");
  await page.locator("#own-arm-base").press("Tab");
  await tells(page, "notes", "which hold the file's shapes and meshes within them");
  await expect(page.locator("#own-arm-take")).toBeEnabled();
});

test("a page that is left reads no further, and reads when it is opened again", async ({ page }) => {
  await page.addInitScript(() => {
    const Plain = window.Worker;
    window.Worker = class extends Plain {
      constructor(url: string | URL, options?: WorkerOptions) {
        super(url, options);
        if (String(url).endsWith("/importer.js")) ((window as any).readers ??= []).push("begun");
      }
      override terminate(): void {
        (window as any).readers?.push("ended");
        super.terminate();
      }
    };
  });
  await choosing(page);
  await page.route("**/import.wasm*", () => {}); // It does not come.
  await page.locator("#own-arm-file").setInputFiles([arm, ...files]);
  await page.waitForFunction(() => (window as any).readers?.includes("begun"));
  await page.locator("#own-arm-close").click();
  await page.waitForFunction(() => (window as any).readers.join() === "begun,ended");
  await page.unroute("**/import.wasm*");
  await page.evaluate(() => (location.hash = "#/own-arm"));
  await tells(page, "notes", "meshes that are drawn: 7");
  expect(await page.evaluate(() => (window as any).readers.join())).toBe("begun,ended,begun,ended");
});
