import { chromium } from "playwright-core";
const b = await chromium.launch({ executablePath: "/usr/bin/chromium-headless-shell", args: ["--no-sandbox"] });
const p = await b.newPage();
for (const f of process.argv.slice(2)) { await p.goto("file://" + f); await p.pdf({ path: f.replace(/html$/, "pdf"), preferCSSPageSize: true, printBackground: true }); }
await b.close();
