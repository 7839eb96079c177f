// The bench page in a real browser against the real program: see the files named below. Looks for console errors, requests to
// anywhere else, poor contrast, small targets, what is cut off, and what a mechanic must see. Screenshots go to the build folder.
//   HALFTURN_BIN=build node tests/page/page_test.mjs [--thorough] [--only NAME]
import { chromium } from "playwright-core";
import path from "node:path";
import { clear_away, shots } from "./bench.mjs";

const only = process.argv.includes("--only") ? process.argv[process.argv.indexOf("--only") + 1] : null;
const files = ["outside", "plan", "seat", "calibrate", "states", "review", "jobs"];
const tests = Object.assign({}, ...(await Promise.all(files.map((name) => import(`./${name}.mjs`)))).map((one) => one.tests));

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", headless: true,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--autoplay-policy=user-gesture-required"] });
let failed = 0;
for (const [name, test] of Object.entries(tests)) {
  if (only && only !== name) continue;
  const start = Date.now();
  try {
    await test(browser);
    console.log(`passed  ${name}  ${((Date.now() - start) / 1000).toFixed(0)} s`);
  } catch (error) {
    ++failed;
    console.log(`FAILED  ${name}: ${error.stack || error}`);
    for (const context of browser.contexts()) for (const page of context.pages()) await page.screenshot({ path: path.join(shots, `failed-${name}.png`) }).catch(() => {});
  }
}
await browser.close();
clear_away();
console.log(`screenshots: ${path.relative(process.cwd(), shots)}`);
process.exit(failed ? 1 : 0);
