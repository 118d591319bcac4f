// A URDF file and the meshes it names, brought to the page: the arm drawn with them or with the bodies that can touch, and kept on this device.
import { mkdirSync, writeFileSync } from "node:fs";
import { expect, type Page } from "@playwright/test";
import { ready, settled, test } from "./bench";
import { arm, choosing, files } from "./tern";

test.use({ pixels: true }); // which are looked at

async function look(page: Page, name: string): Promise<void> {
  await page.locator("[data-opens=look]").click();
  await settled(page);
  await page.screenshot({ path: test.info().outputPath(`${name}.png`) });
}

test("a URDF file is opened with its folder, and the arm is drawn with its meshes, also after a reload; without them it is there all the same", async ({ page }) => {
  const folder = test.info().outputPath("tern");
  mkdirSync(`${folder}/meshes`, { recursive: true });
  writeFileSync(`${folder}/${arm.name}`, arm.buffer);
  for (const { name, buffer } of files) writeFileSync(`${folder}/meshes/${name}`, buffer);
  await choosing(page);
  await page.locator("#own-arm-folder-files").setInputFiles(folder);
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
