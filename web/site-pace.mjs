// Prints how soon a site without a server can be used, how soon it answers a press, and how late the arm's frames are while long questions are thought about.
// It is measured in a browser of its own, from a web host on this machine. Usage: node site-pace.mjs FOLDER [PORT]
import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "@playwright/test";

const [folder, port = "18090"] = process.argv.slice(2);
const here = dirname(fileURLToPath(import.meta.url));
const site = `http://127.0.0.1:${port}/`;
const executablePath = [process.env["CHROMIUM"], "/usr/bin/chromium-headless-shell", "/usr/bin/chromium", "/usr/bin/chromium-browser"].find((path) => path && existsSync(path));
const host = spawn("node", [join(here, "tests", "static-server.mjs"), folder, port], { stdio: ["ignore", "pipe", "inherit"] });
await new Promise((listens) => host.stdout.once("data", listens));
host.stdout.resume();

const sorted = (all) => [...all].sort((a, b) => a - b);
const part = (all, p) => sorted(all)[Math.min(all.length - 1, Math.floor(p * all.length))];
const ms = (x) => `${x.toFixed(x < 100 ? 1 : 0)} ms`;
const print = (what, all) => console.log(`${what}: median ${ms(part(all, 0.5))}, 99 % within ${ms(part(all, 0.99))}, at most ${ms(Math.max(...all))} (${all.length})`);

/** A browser that has never been here. The pictures' pixels are not filled in where what is measured is the bench: without a graphics card they take most of the time. */
async function fresh(pixels) {
  const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-background-networking", "--no-first-run"] });
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  await page.addInitScript((pixels) => {
    const Plain = window.Worker;
    window.heard = () => {};
    window.Worker = class extends Plain {
      constructor(url, options) {
        super(url, options);
        window.bench = this;
        this.addEventListener("message", ({ data }) => data instanceof ArrayBuffer && window.heard(performance.now()));
      }
    };
    const usable = () => (window.handrule?.state && window.handrule.view.frames() > 0 && document.getElementById("link").hidden ? (window.usable = performance.now()) : requestAnimationFrame(usable));
    requestAnimationFrame(usable);
    if (pixels) return;
    const gl = WebGL2RenderingContext.prototype;
    gl.drawElements = gl.drawArrays = gl.drawElementsInstanced = gl.drawArraysInstanced = gl.clear = gl.compileShader = gl.linkProgram = gl.useProgram = () => {};
    gl.getShaderParameter = () => true;
    gl.getProgramParameter = (_, what) => (what === gl.LINK_STATUS ? true : 0);
  }, pixels);
  await page.goto(`${site}#/arm/wren?cell=glazing-bench&joints=-20,10,10,0,70,0&frame=base`);
  await page.waitForFunction(() => window.usable, null, { timeout: 120_000 });
  return { browser, page, usable: await page.evaluate(() => window.usable) };
}

try {
  for (const [what, pixels] of [["usable after the first visit's opening, all in a new browser", true], ["the same without filling in pixels", false]]) {
    const all = [];
    for (let i = 0; i < 5; i++) {
      const { browser, usable } = await fresh(pixels);
      all.push(usable);
      await browser.close();
    }
    console.log(`${what}: at least ${ms(Math.min(...all))}, median ${ms(part(all, 0.5))} (${all.length})`);
  }

  const { browser, page } = await fresh(false);
  await page.evaluate(() => window.bench.postMessage(JSON.stringify({ type: "increment", mm: 1, deg: 1 })));
  const presses = [];
  for (let i = 0; i < 200; i++) {
    presses.push(await page.evaluate((sign) => new Promise((done) => {
      const began = performance.now();
      window.heard = (at) => {
        window.heard = () => {};
        done(at - began);
      };
      document.querySelector(`.jog[data-axis="2"][data-sign="${sign}"]`).click();
    }), i % 2 ? 1 : -1));
    await page.waitForFunction(() => !window.handrule.state.moving);
  }
  print("from a press to the jog's first new pose", presses);

  // Held along Y while two ways are looked for, to another place each time; the room to move is thought about all the while.
  const late = await page.evaluate(async () => {
    const send = (request) => window.bench.postMessage(JSON.stringify(request));
    const lates = [];
    send({ type: "speed", mm_s: 20, deg_s: 15 });
    const { position_mm, fixed_xyz_deg } = window.handrule.state.tcp;
    for (let press = 1; press <= 12; press++) {
      let last = 0;
      send({ type: "ways", do: "numbers", numbers: [position_mm[0] - 40 + 5 * press, position_mm[1] + 80, position_mm[2] + 60, ...fixed_xyz_deg] });
      window.heard = (at) => {
        if (last > 0) lates.push(Math.max(0, at - last - 1000 / 60));
        last = at;
      };
      const direction = { frame: "base", axis: 1, sign: press % 2 ? 1 : -1 };
      const end = performance.now() + 1500;
      while (performance.now() < end) {
        send({ type: "hold", press: 1000 + press, directions: [direction] });
        await new Promise((later) => setTimeout(later, 60));
      }
      send({ type: "release" });
      window.heard = () => {};
      await new Promise((later) => setTimeout(later, 500));
    }
    return lates;
  });
  print("frames later than they are due, a hold with long questions beside it", late);
  await browser.close();
} finally {
  host.kill();
}
