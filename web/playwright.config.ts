import { existsSync } from "node:fs";
import { defineConfig } from "@playwright/test";

const port = Number(process.env["PORT"] ?? 18080);
const browser = [process.env["CHROMIUM"], "/usr/bin/chromium-headless-shell", "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(
  (path) => path && existsSync(path),
);

/** LINK=alone: the page has a bench of its own, and its files come from a web host that knows nothing of Go. LINK=offline: it was visited before, and the network is off. */
const alone = process.env["LINK"] === "alone" || process.env["LINK"] === "offline";

/** Tests that run with both connections in the test command; with THOROUGH=1 all do that need nothing of a server. */
const withBoth = [
  "the room to move is told, and is where the arm stops",
  "three points make a task frame",
  "the log is saved, played again",
  "a held key moves the arm until it is let go",
  "choose and predict: wrong with a hint",
  "the angle that is told is that between the arrow",
  "a straight jog beside a single joint's",
  "become the arm that the command makes",
];
/** What only a server does: keys, folders that are watched, one bench for several tabs, the language by a header, frames on a socket, a first load without the bench; and specs with a host of their own. */
const ofServers = [
  "authoring\\.spec", "assessment\\.spec", "course\\.spec", "site\\.spec", "embed\\.spec", "address.*kept progress", "sealed by the server", "a result is saved, verified", "opened in another tab", "asked of anybody but the server", "language\\.spec", "a choice of steps that comes before the answer", "class\\.spec", "the first minute", "the first load is small",
];

export default defineConfig({
  ...(alone && !process.env["THOROUGH"] ? { grep: new RegExp(withBoth.join("|")) } : {}),
  ...(alone ? { grepInvert: new RegExp(ofServers.join("|")) } : {}),
  testDir: "tests",
  timeout: process.env["THOROUGH"] ? 1_800_000 : 600_000, // for what hangs; a slow machine has the time it needs
  expect: { timeout: 20_000 },
  workers: 2, // each page has a bench of its own
  reporter: "line",
  use: {
    baseURL: `http://127.0.0.1:${port}`,
    viewport: { width: 1366, height: 768 },
    screenshot: "only-on-failure",
    launchOptions: {
      ...(browser ? { executablePath: browser } : {}),
      ignoreDefaultArgs: ["--hide-scrollbars"], // a learner's browser has them
      args: [
        "--no-sandbox",
        "--use-angle=swiftshader",
        "--enable-unsafe-swiftshader",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
        // Without a graphics card, drawing the page's own boxes and letters as a 3D picture takes most of the time.
        "--disable-gpu-rasterization",
        "--disable-gpu-compositing",
      ],
    },
  },
  webServer: {
    command: alone
      ? `rm -rf test-results/alone && ../bin/handrule site test-results/alone && node tests/static-server.mjs test-results/alone ${port}`
      : `../bin/handrule serve --listen 127.0.0.1:${port} --key test-results/key/results.pem --new-key --data none`,
    url: `http://127.0.0.1:${port}/`,
    reuseExistingServer: false,
  },
});
