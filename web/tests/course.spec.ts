// A lesson as a package on a learning platform: the manifest names every file, and the page inside an independent run-time of SCORM 1.2 (scorm-again)
// is imported, half done, left, gone on with and finished; a broken platform loses nothing.
import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { dirname, extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { inflateRawSync } from "node:zlib";
import { expect, type Frame, type Page } from "@playwright/test";
import { test } from "./bench";

const port = Number(process.env["PORT"] ?? 18080) + 2;
const here = fileURLToPath(new URL("..", import.meta.url));
const root = join(here, "test-results", "course");

/** Two questions, whose answers are known. */
const lesson = `title: Two questions
arm: wren
stages:
  - title: One
    text: Which is it?
    choose:
      question: Which joint is nearest to the floor?
      options:
        - {text: The first one, right: true, why: It is.}
        - {text: The sixth one, why: It is not.}
  - title: Two
    text: And now?
    choose:
      question: Which joint is nearest to the tool?
      options:
        - {text: The first joint, why: It is not.}
        - {text: The sixth joint, right: true, why: It is.}
`;

/** The files of a zip archive, by its central directory. */
function unzip(archive: Buffer): Map<string, Buffer> {
  const files = new Map<string, Buffer>();
  let at = archive.readUInt32LE(archive.lastIndexOf(Buffer.from("PK\x05\x06", "latin1")) + 16);
  while (archive.readUInt32LE(at) === 0x02014b50) {
    const [method, size, nameLength, extra, comment, local] = [archive.readUInt16LE(at + 10), archive.readUInt32LE(at + 20), archive.readUInt16LE(at + 28), archive.readUInt16LE(at + 30), archive.readUInt16LE(at + 32), archive.readUInt32LE(at + 42)];
    const name = archive.toString("utf8", at + 46, at + 46 + nameLength);
    const from = local + 30 + archive.readUInt16LE(local + 26) + archive.readUInt16LE(local + 28);
    const data = archive.subarray(from, from + size);
    files.set(name, method === 8 ? inflateRawSync(data) : data);
    at += 46 + nameLength + extra + comment;
  }
  return files;
}

/** The platform: a page with the run-time, which keeps what it is told, and a frame with the unit. */
const platform = (unit: string): string => `<!doctype html><title>A platform</title>
<script src="scorm12.min.js"></script>
<script>
  const API = window.API = new window.Scorm12API({ autocommit: false, logLevel: 5 });
  const kept = localStorage.getItem("platform");
  API.loadFromJSON(kept ? JSON.parse(kept) : { core: { student_id: "ada", student_name: "Lovelace, Ada", entry: "ab-initio" } }, "cmi");
  const keep = () => localStorage.setItem("platform", JSON.stringify(API.cmi.toJSON()));
  API.on("LMSCommit", keep);
  API.on("LMSFinish", keep);
  const broken = new URLSearchParams(location.search).get("broken");
  if (broken === "none") delete window.API;
  if (broken === "full") { const plain = API.LMSSetValue.bind(API); window.API = new Proxy(API, { get: (o, name) => name === "LMSSetValue" ? (e, v) => e === "cmi.suspend_data" ? "false" : plain(e, v) : typeof o[name] === "function" ? o[name].bind(o) : o[name] }); }
  // One that takes up a visit again after its end, and one that does not; the run-time's own does not.
  if (broken === "again") { let on = false, ended = false; window.API = new Proxy(API, { get: (o, name) => name === "LMSInitialize" ? () => { const first = !ended && o.LMSInitialize(""); on = true; return String(ended || first); } : name === "LMSFinish" ? () => { o.LMSCommit(""); on = false; ended = true; return "true"; } : typeof o[name] === "function" ? (...all) => on ? o[name](...all) : "false" : o[name] }); }
  if (broken === "throws") window.API = new Proxy(API, { get: (o, name) => name === "LMSCommit" ? () => { throw new Error("no") } : typeof o[name] === "function" ? o[name].bind(o) : o[name] });
</script>
<iframe id="unit" src="${unit}" width="1300" height="720"></iframe>`;

let host: Server;

test.describe.configure({ mode: "serial" });

test.beforeAll(async () => {
  rmSync(root, { recursive: true, force: true });
  mkdirSync(root, { recursive: true });
  writeFileSync(join(root, "questions.yaml"), lesson);
  execFileSync(join(here, "..", "bin", "handrule"), ["package", join(root, "questions.yaml"), "--out", join(root, "course.zip")]);
  for (const [name, data] of unzip(readFileSync(join(root, "course.zip")))) {
    mkdirSync(dirname(join(root, "course", name)), { recursive: true });
    writeFileSync(join(root, "course", name), data);
  }
  cpSync(join(here, "node_modules", "scorm-again", "dist", "scorm12.min.js"), join(root, "course", "scorm12.min.js"));
  writeFileSync(join(root, "course", "platform.html"), platform("questions.en.html"));
  const types: Record<string, string> = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".wasm": "application/wasm", ".svg": "image/svg+xml", ".json": "application/json" };
  host = createServer((request, response) => {
    const name = normalize(new URL(request.url!, "http://host").pathname);
    try {
      response.writeHead(200, { "content-type": types[extname(name)] ?? "application/octet-stream" }).end(readFileSync(join(root, "course", name)));
    } catch {
      response.writeHead(404).end();
    }
  });
  await new Promise<void>((done) => void host.listen(port, "127.0.0.1", done));
});

test.afterAll(() => void host.close());

/** Opens the platform with the unit in its frame, and waits until the lesson is there. */
async function launch(page: Page, how = ""): Promise<Frame> {
  await page.goto(`http://127.0.0.1:${port}/platform.html${how}`);
  const unit = page.frames().find((f) => f.url().includes("questions."))!;
  await expect(unit.locator("#lesson-stage")).not.toBeEmpty({ timeout: 60_000 }); // The first visit compiles the program.
  return unit;
}

/** What the platform has kept. */
const kept = (page: Page): Promise<any> => page.evaluate(() => JSON.parse(localStorage.getItem("platform") ?? "null"));

/** What the page has kept in this browser. */
const progress = (page: Page): Promise<string> => page.evaluate(() => Object.entries(localStorage).find(([key]) => key.startsWith("handrule-progress"))?.[1] ?? "");

async function answer(unit: Frame, text: string): Promise<void> {
  await unit.locator("#lesson-task label", { hasText: text }).click();
  await unit.locator("#task-answer").click();
  await expect(unit.locator("#lesson-part, #lesson-place").first()).toBeVisible();
}

test("the manifest names every file of the package, and nothing else", () => {
  const files = unzip(readFileSync(join(root, "course.zip")));
  const manifest = files.get("imsmanifest.xml")!.toString();
  const named = [...manifest.matchAll(/<file href="([^"]*)"/g)].map((m) => m[1]!);
  expect([...files.keys()].filter((name) => name !== "imsmanifest.xml").sort()).toEqual(named.sort());
  expect(manifest).toContain('adlcp:scormtype="sco"');
  expect(manifest).toContain("<schemaversion>1.2</schemaversion>");
  expect(manifest).toContain("<title>Two questions</title>");
});

test("imported, half done, left, gone on with on another machine, finished: score and status are as the run-time saw them", async ({ page }) => {
  const elsewhere: string[] = [];
  page.on("request", (request) => void (/^(http:\/\/127\.0\.0\.1:|blob:|data:)/.test(request.url()) || elsewhere.push(request.url())));
  let unit = await launch(page);
  await answer(unit, "The first one");
  await page.waitForFunction(() => JSON.parse(localStorage.getItem("platform") ?? "{}").core?.score?.raw === "50");
  await page.goto("about:blank");
  await page.goto(`http://127.0.0.1:${port}/scorm12.min.js`); // on the platform's site, but not in the course
  let saw = await kept(page);
  expect(saw.core.lesson_status).toBe("incomplete");
  expect(saw.core.exit).toBe("suspend");
  expect(saw.suspend_data.length).toBeLessThanOrEqual(4096);
  expect(saw.core.session_time ?? saw.core.total_time).toMatch(/^\d{2,4}:\d\d:\d\d(\.\d{1,2})?$/);

  // Another machine: nothing of the page's own is there.
  await page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith("handrule-")).forEach((key) => localStorage.removeItem(key)));
  await page.evaluate(() => sessionStorage.clear());
  unit = await launch(page);
  await expect(unit.locator("#lesson-steps button").first()).toHaveClass(/done/);
  await unit.locator("#lesson-next").click();
  await answer(unit, "The sixth joint");
  await page.waitForFunction(() => JSON.parse(localStorage.getItem("platform") ?? "{}").core?.lesson_status === "passed");
  saw = await kept(page);
  expect(saw.core.score.raw).toBe("100");
  expect(elsewhere).toEqual([]);
});

for (const [broken, says] of [["none", "No learning platform answers"], ["full", "does not take what it is told"], ["throws", "does not take what it is told"]] as const) {
  test(`a platform that is broken (${broken}) loses nothing: it is said, and the next visit goes on`, async ({ page }) => {
    let unit = await launch(page, `?broken=${broken}`);
    await expect(unit.locator("#problem")).toContainText(says);
    const before = await progress(page); // that of a lesson in which nothing is done
    await answer(unit, "The first one");
    await expect(unit.locator("#lesson-steps button").first()).toHaveClass(/done/);
    await expect.poll(() => progress(page)).not.toBe(before);
    await page.evaluate(() => sessionStorage.clear());
    await page.goto("about:blank"); // closed in the middle
    const asked: string[] = [];
    page.on("dialog", (dialog) => {
      asked.push(dialog.message());
      void dialog.accept();
    });
    unit = await launch(page);
    await expect(unit.locator("#lesson-steps button").first()).toHaveClass(/done/);
    expect(asked.length).toBe(broken === "none" ? 1 : 0); // Nobody has said who was there.
    await page.waitForFunction(() => JSON.parse(localStorage.getItem("platform") ?? "{}").suspend_data?.length > 0);
  });
}

test("closed in the middle of a stage, before the platform was told anything of the one before: it is told when the window closes", async ({ page }) => {
  const unit = await launch(page);
  await answer(unit, "The first one");
  await expect(unit.locator("#lesson-steps button").first()).toHaveClass(/done/);
  await unit.locator("#lesson-next").click();
  await unit.locator("#lesson-task label", { hasText: "The sixth joint" }).click(); // chosen, and not answered
  await page.goto(`http://127.0.0.1:${port}/scorm12.min.js`);
  const saw = await kept(page);
  expect(saw.core.score.raw).toBe("50");
  expect(saw.core.exit).toBe("suspend");
  expect(saw.suspend_data.length).toBeGreaterThan(0);
});

for (const how of ["", "?broken=again"]) {
  test(`a leave that is taken back loses nothing that is done after it${how && ", where the platform takes the visit up again"}`, async ({ page }) => {
    let unit = await launch(page, how);
    await unit.evaluate(() => void dispatchEvent(new Event("beforeunload"))); // as where a platform asks whether to leave, and somebody stays
    await answer(unit, "The first one");
    await expect(unit.locator("#lesson-steps button").first()).toHaveClass(/done/);
    if (how === "") await expect(unit.locator("#problem")).toContainText("does not take what it is told");
    else await page.waitForFunction(() => JSON.parse(localStorage.getItem("platform") ?? "{}").core?.score?.raw === "50");
    await page.evaluate(() => sessionStorage.clear());
    await page.goto("about:blank");
    unit = await launch(page);
    await expect(unit.locator("#lesson-steps button").first()).toHaveClass(/done/);
    await page.waitForFunction(() => JSON.parse(localStorage.getItem("platform") ?? "{}").core?.score?.raw === "50");
  });
}

test("what another has done without a platform is not gone on with", async ({ page }) => {
  let unit = await launch(page, "?broken=none");
  await answer(unit, "The first one");
  await expect(unit.locator("#lesson-steps button").first()).toHaveClass(/done/);
  await page.goto("about:blank");
  page.on("dialog", (dialog) => void dialog.dismiss());
  unit = await launch(page);
  await expect(unit.locator("#lesson-steps button").first()).not.toHaveClass(/done/);
});
