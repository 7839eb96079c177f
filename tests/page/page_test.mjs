// The bench page in a real browser against the real program: see the files named below. Looks for console errors, requests to
// anywhere else, poor contrast, small targets, what is cut off, and what a mechanic must see. Screenshots go to the build folder.
//   HALFTURN_BIN=build node tests/page/page_test.mjs [--thorough] [--only NAME]      NAME: a test, or the beginning of some
import { chromium } from "playwright-core";
import path from "node:path";
import { clear_away, end_children, shots } from "./bench.mjs";

const only = process.argv.includes("--only") ? process.argv[process.argv.indexOf("--only") + 1] : "";
const files = ["jobs", "shift", "calibrate", "states", "review", "seat", "family", "plan", "outside"];   // what takes longest comes first
const tests = Object.entries(Object.assign({}, ...(await Promise.all(files.map((name) => import(`./${name}.mjs`)))).map((one) => one.tests)));
const chosen = tests.filter(([name]) => name.startsWith(only));

const launch = () => chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", headless: true,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--autoplay-policy=user-gesture-required"] });
let browser = await launch();

// What went wrong, or nothing. Whatever a test leaves open is photographed and closed.
async function run(name, test) {
  const contexts = [], own = { async newContext(options) { contexts.push(await browser.newContext(options)); return contexts.at(-1); } };
  try {
    return void (await test(own));
  } catch (error) {
    for (const [i, page] of contexts.flatMap((context) => context.pages()).entries()) await page.screenshot({ path: path.join(shots, `failed-${name}-${i + 1}.png`) }).catch(() => {});
    return error;
  } finally {
    await Promise.allSettled(contexts.map((context) => context.close()));
  }
}

// Practice jobs take their real time, most of it waiting: two tests run side by side. With more, the machine is held up, which a page
// rightly calls not watching; what measures time has the machine to itself, and so has a test that is tried again.
const failed = [];
async function lane(queue) {
  for (let next; (next = queue.shift());) {
    const [name, test] = next, start = Date.now(), error = await run(name, test);
    const took = `${((Date.now() - start) / 1000).toFixed(0)} s`;
    if (error) failed.push([name, test]);
    console.log(error ? `failed at the first try  ${name}  ${took}: ${error.stack || error}` : `passed  ${name}  ${took}`);
  }
}
const began = Date.now(), together = chosen.filter(([, test]) => !test.alone);
await Promise.all([lane(together), lane(together)]);
await lane(chosen.filter(([, test]) => test.alone));
let wrong = 0;
for (const [name, test] of failed) {
  let error, tries = 1;
  do {
    end_children();
    if (!browser.isConnected()) browser = await launch();
    error = await run(name, test);
  } while (++tries < 3 && error);
  if (error) ++wrong;
  console.log(error ? `FAILED  ${name}: ${error.stack || error}` : `passed at the ${tries === 2 ? "second" : "third"} try  ${name}`);
}
await browser.close();
clear_away();
console.log(`${chosen.length} tests, ${wrong} failed, ${failed.length - wrong} passed when tried again, in ${((Date.now() - began) / 1000).toFixed(0)} s; screenshots: ${path.relative(process.cwd(), shots)}`);
process.exit(wrong || chosen.length === 0 ? 1 : 0);
