import { existsSync } from "node:fs";
import { defineConfig } from "@playwright/test";

const port = Number(process.env["PORT"] ?? 18080);
const browser = [process.env["CHROMIUM"], "/usr/bin/chromium-headless-shell", "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(
  (path) => path && existsSync(path),
);

export default defineConfig({
  testDir: "tests",
  timeout: 90_000,
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
    command: `../bin/handrule serve --listen 127.0.0.1:${port} --key test-results/key/results.pem`,
    url: `http://127.0.0.1:${port}/`,
    reuseExistingServer: false,
  },
});
