// A URDF file and the meshes it names, brought to the page: what was understood, the arm drawn with them or with the bodies that can touch, and kept on
// this device.
import { mkdirSync, writeFileSync } from "node:fs";
import { expect, type Page } from "@playwright/test";
import { open, ready, settled, test } from "./bench";

test.use({ pixels: true }); // which are looked at

const names = ["base", "l1", "l2", "l3", "l4", "l5", "l6"];
/** Of each link in m: how wide it is, from where to where, and whether it lies along X. */
const shapes: [number, number, number, boolean][] = [[0.09, 0, 0.2, false], [0.07, 0, 0.2, false], [0.055, 0, 0.25, false], [0.05, -0.05, 0.05, false], [0.045, 0, 0.3, true], [0.04, 0, 0.05, true], [0.035, 0.05, 0.1, true]];

/** An arm of invented measures; every link is drawn as a mesh. */
const urdf = `<robot name="tern">
${names.map((name) => `<link name="${name}"><visual><geometry><mesh filename="package://tern/meshes/${name}.stl"/></geometry><material name="m"><color rgba="0.8 0.72 0.55 1"/></material></visual></link>`).join("\n")}
${["0 0 1", "0 1 0", "0 1 0", "1 0 0", "0 1 0", "1 0 0"]
  .map((axis, i) => `<joint name="J${i + 1}" type="revolute"><origin xyz="${["0 0 0.2", "0 0 0.2", "0 0 0.25", "0 0 0", "0.3 0 0", "0 0 0"][i]}"/><parent link="${names[i]}"/><child link="${names[i + 1]}"/><axis xyz="${axis}"/><limit lower="-2" upper="2" velocity="2" effort="0"/></joint>`)
  .join("\n")}
<link name="flange"/><joint name="f" type="fixed"><origin xyz="0.1 0 0" rpy="0 1.5707963267948966 0"/><parent link="l6"/><child link="flange"/></joint>
</robot>`;

/** A prism of eight sides as an STL file in text. */
function prism([wide, from, to, alongX]: (typeof shapes)[number]): string {
  const point = (i: number, at: number): string => {
    const [a, b] = [wide * Math.cos((i * Math.PI) / 4), wide * Math.sin((i * Math.PI) / 4)];
    return `vertex ${(alongX ? [at, a, b] : [a, b, at]).map((x) => x.toFixed(6)).join(" ")}`;
  };
  const facets: string[][] = [];
  for (let i = 0; i < 8; i++) {
    facets.push([point(i, from), point(i + 1, from), point(i + 1, to)], [point(i, from), point(i + 1, to), point(i, to)]);
    if (i > 0 && i < 7) facets.push([point(0, to), point(i, to), point(i + 1, to)], [point(0, from), point(i + 1, from), point(i, from)]);
  }
  return `solid s\n${facets.map((f) => `facet normal 0 0 0\nouter loop\n${f.join("\n")}\nendloop\nendfacet\n`).join("")}endsolid\n`;
}

/** Opens the page of the own arm where a URDF file is chosen. */
async function choosing(page: Page): Promise<void> {
  await open(page);
  await page.evaluate(() => (location.hash = "#/own-arm"));
  await page.locator('label:has(input[name="own-arm-kind"][value="urdf"])').click();
}

async function look(page: Page, name: string): Promise<void> {
  await page.locator("[data-opens=look]").click();
  await settled(page);
  await page.screenshot({ path: test.info().outputPath(`${name}.png`) });
}

const files = names.map((name, i) => ({ name: `${name}.stl`, mimeType: "model/stl", buffer: Buffer.from(prism(shapes[i]!)) }));
const arm = { name: "tern.urdf", mimeType: "text/xml", buffer: Buffer.from(urdf) };

test("a URDF file is opened with its folder, and the arm is drawn with its meshes, also after a reload; without them it is there all the same", async ({ page }) => {
  const folder = test.info().outputPath("tern");
  mkdirSync(`${folder}/meshes`, { recursive: true });
  writeFileSync(`${folder}/${arm.name}`, arm.buffer);
  for (const { name, buffer } of files) writeFileSync(`${folder}/meshes/${name}`, buffer);
  await choosing(page);
  await page.locator("#own-arm-folder-files").setInputFiles(folder);
  if (process.env["LINK"] === "alone") {
    await expect(page.locator("#own-arm-problems")).toContainText("handrule import"); // its reader would make the program larger
    return;
  }
  await expect(page.locator("#own-arm-chosen")).toContainText("tern.urdf, with 7 files");
  await expect(page.locator("#own-arm-sliders li")).toHaveCount(6);
  await expect(page.locator("#own-arm-notes")).toContainText("meshes that are drawn: 7");
  await page.locator("#own-arm-take").click();
  await expect(page.locator("#own-arm")).toBeHidden(); // The arm is kept.
  await expect(page.locator("#arm option:checked")).toHaveText("tern (own)");
  await expect(page.locator("#draw-as")).toHaveValue("meshes");
  await expect(page.locator("#draw-as-failed li")).toHaveCount(0);
  await look(page, "meshes");
  await page.locator("#draw-as").selectOption("bodies");
  await settled(page);
  await page.screenshot({ path: test.info().outputPath("bodies.png") });
  await page.reload();
  await ready(page);
  await expect(page.locator("#draw-as")).toHaveValue("bodies");
  await expect(page.locator("#draw-as-failed li")).toHaveCount(0);
  await page.evaluate(
    () =>
      new Promise<void>((done, failed) => {
        const forgetting = indexedDB.deleteDatabase("handrule");
        forgetting.onsuccess = () => done();
        forgetting.onerror = () => failed(forgetting.error);
      }),
  );
  await page.reload();
  await ready(page);
  await expect(page.locator("#draw-as-failed")).toContainText("meshes/l3.stl is not here");
});

test("a URDF file and its meshes are chosen together, without a folder; too many bytes are told", async ({ page }) => {
  await choosing(page);
  await page.locator("#own-arm-file").setInputFiles([arm, ...files]);
  await expect(page.locator("#own-arm-notes")).toContainText("meshes that are drawn: 7");
  await page.locator("#own-arm-take").click();
  await expect(page.locator("#own-arm")).toBeHidden();
  await expect(page.locator("#draw-as")).toHaveValue("meshes");
  await expect(page.locator("#draw-as-failed li")).toHaveCount(0);

  await page.evaluate(() => (location.hash = "#/own-arm"));
  const large = Array.from({ length: 3 }, (_, i) => ({ name: `large${i}.stl`, mimeType: "model/stl", buffer: Buffer.alloc(35 << 20) }));
  for (const one of large) writeFileSync(test.info().outputPath(one.name), one.buffer);
  await page.locator("#own-arm-file").setInputFiles(large.map(({ name }) => test.info().outputPath(name)));
  await expect(page.locator("#own-arm-problems")).toContainText("The files have 105 MB together; an arm is drawn with 96 MB at most.");
});
