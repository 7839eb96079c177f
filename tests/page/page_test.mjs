// The bench page in a real browser: practice jobs from the start to the end, by keyboard alone, at phone, tablet and laptop
// size, in light and dark. Looks for console errors, requests to anywhere else, poor contrast, small targets, and what a
// mechanic must see. Screenshots go to the build folder.
//   HALFTURN_BIN=build node tests/page/page_test.mjs [--only NAME]
import { chromium } from "playwright-core";
import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { execFileSync } from "node:child_process";
import { tmpdir } from "node:os";
import { fileURLToPath } from "node:url";
import path from "node:path";
import assert from "node:assert/strict";

const bin = path.resolve(process.env.HALFTURN_BIN || "build");
const shots = path.join(bin, "page-screenshots");
mkdirSync(shots, { recursive: true });
const folder = mkdtempSync(path.join(tmpdir(), "halfturn-page-"));
const only = process.argv.includes("--only") ? process.argv[process.argv.indexOf("--only") + 1] : null;

const sizes = {
  phone: { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2 },
  tablet: { viewport: { width: 1280, height: 800 }, deviceScaleFactor: 1 },
  laptop: { viewport: { width: 1366, height: 768 }, deviceScaleFactor: 1 },
};

const children = new Set();

async function serve(more = []) {
  const rig = path.join(folder, "rig.toml");
  writeFileSync(rig, execFileSync(path.join(bin, "halfturn"), ["example", "rig"]));
  const child = spawn(path.join(bin, "halfturn"), ["serve", "--json", "--port", "0", "--rig", rig, "--store", path.join(folder, `store${Math.random()}.db`), ...more], { stdio: ["ignore", "pipe", "inherit"] });
  children.add(child);
  child.on("exit", () => children.delete(child));
  const address = await new Promise((found, failed) => {
    let text = "";
    child.stdout.on("data", (bytes) => {
      text += bytes;
      if (text.includes("\n")) found(JSON.parse(text.split("\n")[0]).address);
    });
    child.on("exit", (code) => failed(new Error(`halfturn serve ended with ${code}`)));
  });
  return { child, address, end: () => new Promise((done) => { child.removeAllListeners("exit"); child.on("exit", done); child.kill("SIGTERM"); }) };
}

// WCAG 2.2, success criterion 1.4.3: 4.5 to 1, or 3 to 1 for text of 24 px, or 18.66 px bold. Computed from the colours
// the browser laid out; text over a picture's own fill is compared with the nearest filled ground.
const poor_contrast = () => {
  const parse = (text) => { const m = text.match(/[\d.]+/g).map(Number); return { rgb: m.slice(0, 3), a: m.length > 3 ? m[3] : 1 }; };
  const luminance = ([r, g, b]) => [r, g, b].map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const ground = (node) => { for (; node; node = node.parentElement) { const c = parse(getComputedStyle(node).backgroundColor); if (c.a > 0.99) return c.rgb; } return [255, 255, 255]; };
  const bad = [];
  for (const node of document.querySelectorAll("body *")) {
    const own = [...node.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || !node.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true }) || node.classList.contains("heard-only")) continue;
    const over = [...document.querySelectorAll(".over:not([hidden])")].at(-1);
    if (over && !over.contains(node)) continue;
    const style = getComputedStyle(node), in_svg = node instanceof SVGElement;
    const ink = parse(in_svg ? style.fill : style.color), px = parseFloat(style.fontSize) * (in_svg ? node.getScreenCTM().a : 1);
    const a = luminance(ink.rgb), b = luminance(ground(node));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    const large = px >= 24 || (px >= 18.66 && Number(style.fontWeight) >= 700);
    if (ratio < (large ? 3 : 4.5)) bad.push(`${node.tagName} "${node.textContent.trim().slice(0, 30)}" ${ratio.toFixed(2)}`);
  }
  return bad;
};

const small_targets = () => [...document.querySelectorAll("button, input:not([type=radio]), select, textarea, .card label, summary")]
  .filter((n) => n.checkVisibility() && n.getBoundingClientRect().width > 0)
  .map((n) => ({ n, box: n.getBoundingClientRect() })).filter(({ box }) => box.height < 63.5 || box.width < 63.5)
  .map(({ n, box }) => `${n.tagName} "${n.textContent.trim().slice(0, 20)}" ${box.width.toFixed(0)}x${box.height.toFixed(0)}`);

const cut_off = () => [...document.querySelectorAll("#live:not([hidden]) > *, #live:not([hidden]) #word, #live:not([hidden]) #tools > *")]
  .filter((n) => n.checkVisibility()).map((n) => ({ n, box: n.getBoundingClientRect() }))
  .filter(({ box }) => box.right > innerWidth + 1 || box.bottom > innerHeight + 1 || box.left < -1 || box.top < -1).map(({ n }) => n.id || n.tagName);

// Polled from here: the page's content security policy forbids what the browser driver's own waiting would evaluate.
async function until(page, holds, arg, timeout) {
  for (const end = Date.now() + timeout; Date.now() < end; await page.waitForTimeout(60)) if (await page.evaluate(holds, arg)) return;
  assert.fail(`waited ${timeout / 1000} s in vain for ${holds}`);
}

class Visit {
  constructor(name, page, address) { Object.assign(this, { name, page, address, errors: [], outside: [], shot: 0 }); }

  static async open(browser, name, size, address, more = {}) {
    const context = await browser.newContext({ ...sizes[size], ...more });
    const page = await context.newPage();
    // When "not watching" was said, by the page's own clock: no driver's waiting in it.
    await page.addInitScript(() => {
      globalThis.blind_at = [];
      addEventListener("DOMContentLoaded", () => {
        const box = document.querySelector("#not-watching");
        new MutationObserver(() => { if (!box.hidden) globalThis.blind_at.push(Date.now()); }).observe(box, { attributes: true, attributeFilter: ["hidden"] });
      });
    });
    const visit = new Visit(name, page, address);
    page.on("console", (m) => { if (["error", "warning"].includes(m.type())) visit.errors.push(m.text()); });
    page.on("pageerror", (e) => visit.errors.push(String(e)));
    page.on("request", (r) => { if (!r.url().startsWith(address) && !r.url().startsWith(address.replace("http", "ws"))) visit.outside.push(r.url()); });
    await page.goto(address);
    return visit;
  }

  async look(what) {
    await this.page.waitForTimeout(320);   // past the short entrance of a new word
    await this.page.screenshot({ path: path.join(shots, `${this.name}-${String(++this.shot).padStart(2, "0")}-${what}.png`) });
    assert.deepEqual(await this.page.evaluate(poor_contrast), [], `${this.name} ${what}: contrast`);
    assert.deepEqual(await this.page.evaluate(small_targets), [], `${this.name} ${what}: targets under 64 px`);
    assert.deepEqual(await this.page.evaluate(cut_off), [], `${this.name} ${what}: cut off`);
    assert.ok(await this.page.evaluate(() => document.documentElement.scrollWidth <= innerWidth + 1), `${this.name} ${what}: wider than the screen`);
  }

  // Keyboard only: Tab until the wanted element has the focus, then press.
  async tab_to(selector) {
    for (let i = 0; i < 120; ++i) {
      if (await this.page.evaluate((s) => document.activeElement?.matches(s), selector)) return;
      await this.page.keyboard.press("Tab");
    }
    assert.fail(`${this.name}: ${selector} can't be reached by keyboard`);
  }
  async key(selector, key = "Enter") {
    await this.page.waitForSelector(selector);
    await this.tab_to(selector);
    await this.page.keyboard.press(key);
  }

  async start_practice(scenario) {
    await this.page.waitForSelector("#start summary", { timeout: 10000 });
    await this.look("start");
    const open = await this.page.evaluate(() => document.querySelector("#start details:last-of-type").open);
    if (!open) await this.key("#start > details > summary");
    await this.key(`button[data-practice="${scenario}"]`);
    await this.page.waitForSelector("#before:not([hidden]) .step", { timeout: 20000 });
  }

  async before_you_pull(look) {
    await this.key("button[data-sound=stop]");
    if (look) await this.look("before-sounds");
    await this.key("#step-done");
    if (look) await this.look("before-instruments");
    await this.key("#step-done");                       // instruments
    if (look) await this.look("before-cautions");
    await this.key("#step-done");                       // cautions
    await this.key("#step-skip");                       // drift and support: skipped on purpose
    await this.key("#zero-now");
    await until(this.page, () => !document.querySelector("#step-done").disabled, null, 10000);
    if (look) await this.look("before-zero");
    await this.key("#step-done");
    await this.key("#step-done");                       // direction
    if (look) await this.look("before-begin");
    await this.key("#begin");
    await this.page.waitForSelector("#live:not([hidden])");
  }

  async close() {
    assert.deepEqual(this.errors, [], `${this.name}: console`);
    assert.deepEqual(this.outside, [], `${this.name}: requests to elsewhere`);
    if (!this.loses_server) assert.deepEqual(await this.page.evaluate(() => globalThis.blind_at), [], `${this.name}: said "not watching" without cause`);
    await this.page.context().close();
  }
}

const word_is = (page, word, timeout = 90000) => until(page, (w) => document.querySelector("#word").textContent === w, word, timeout);

// The jobs take their real time, so the sizes run side by side.
async function at_once(list, run) {
  const results = await Promise.allSettled(list.map((one) => run(...one)));
  const failure = results.find((r) => r.status === "rejected");
  if (failure) throw failure.reason;
}

const tests = {
  // What lies in page/outside is the pinned package's, byte for byte: to renew it, change the pin, install, copy.
  async outside_code() {
    const here = path.dirname(fileURLToPath(import.meta.url)), kept = path.join(here, "../../src/screen/page/outside"), from = path.join(here, "node_modules/uplot");
    for (const [ours, theirs] of [["uplot.js", "dist/uPlot.esm.js"], ["uplot.css", "dist/uPlot.min.css"], ["uplot_license.txt", "LICENSE"]])
      assert.ok(readFileSync(path.join(kept, ours)).equals(readFileSync(path.join(from, theirs))), `${ours} is not the package's ${theirs}`);
  },

  async clean_job(browser) {
    await at_once([["tablet", {}], ["phone", { colorScheme: "dark" }]], async (size, more) => {
      const server = await serve(["--brisk", "4"]);
      const visit = await Visit.open(browser, `clean-${size}`, size, server.address, more);
      await visit.start_practice("clean");
      await visit.before_you_pull(true);
      await word_is(visit.page, "turn");
      await visit.look("turn");
      await until(visit.page, () => /turn since contact/.test(document.querySelector("#nut-box").textContent), null, 60000);
      await visit.look("contact");
      await visit.key("#open-curve");
      await until(visit.page, () => /Highest reading/.test(document.querySelector("#curve-text").textContent), null, 10000);
      await visit.look("curve");
      await visit.page.keyboard.press("Escape");
      assert.equal(await visit.page.evaluate(() => document.activeElement.id), "open-curve", "focus comes back");
      await until(visit.page, () => /left the seat/.test(document.querySelector("#next").textContent), null, 150000);
      await visit.look("clear");
      await visit.key("#end-job");
      await visit.page.waitForSelector("#end:not([hidden]) .call");
      await until(visit.page, () => !document.querySelector("#end .bad"), null, 15000);
      await visit.look("end");
      assert.equal(await visit.page.textContent("#end .call"), "nothing unusual");
      await visit.tab_to("#note");
      await visit.page.keyboard.type("came easily");
      await visit.page.keyboard.press("Tab");
      await visit.page.keyboard.press("Enter");
      await visit.key("#next-job");
      await visit.page.waitForSelector("#start:not([hidden])");
      await visit.close();
      await server.end();
    });
  },

  async bonded_job(browser) {
    await at_once([["laptop", { colorScheme: "dark" }], ["phone", {}], ["tablet", { reducedMotion: "reduce" }]], async (size, more) => {
      const server = await serve(["--brisk", "2"]);
      const visit = await Visit.open(browser, `bonded-${size}`, size, server.address, more);
      await visit.start_practice("bonded");
      await visit.before_you_pull(false);
      await visit.page.waitForSelector("#warning:not([hidden])[data-call=stop-and-inspect]", { timeout: 120000 });
      await visit.look("stop");
      assert.equal(await visit.page.textContent("#word"), "stop");
      assert.ok(await visit.page.evaluate(() => document.querySelector("#alarm-say").textContent === "stop"), "said aloud");
      // Any key silences; the stop stays.
      await visit.page.keyboard.press("x");
      await visit.page.waitForTimeout(400);
      assert.ok(await visit.page.isVisible("#warning"), "a key does not clear a stop");
      await until(visit.page, () => document.querySelector("#warning button.hold")?.disabled === false, null, 120000);
      await visit.look("unloaded");
      await visit.tab_to("#warning button.hold");
      await visit.page.keyboard.press("Enter");                 // a bump does nothing
      await visit.page.waitForTimeout(500);
      assert.ok(await visit.page.isVisible("#warning"), "a short press does not clear a stop");
      await visit.page.keyboard.down("Enter");
      await visit.page.waitForTimeout(1400);
      await visit.page.keyboard.up("Enter");
      await visit.page.waitForSelector("#warning", { state: "hidden", timeout: 5000 });
      await visit.look("after-stop");
      await visit.key("#end-job");
      if (await visit.page.isVisible("#live")) await visit.key("#end-job");
      await visit.page.waitForSelector("#end:not([hidden]) .call");
      assert.equal(await visit.page.textContent("#end .call"), "stop and inspect");
      await visit.look("end");
      await visit.close();
      await server.end();
    });
  },

  async server_lost(browser) {
    const server = await serve();
    const visit = await Visit.open(browser, "lost-tablet", "tablet", server.address);
    visit.loses_server = true;
    await visit.start_practice("clean");
    await visit.before_you_pull(false);
    await word_is(visit.page, "turn");
    server.child.removeAllListeners("exit");
    const lost_at = Date.now();
    server.child.kill("SIGSTOP");
    await visit.page.waitForSelector("#not-watching:not([hidden])", { timeout: 5000 });
    const took = (await visit.page.evaluate(() => globalThis.blind_at.at(-1))) - lost_at;
    await visit.look("not-watching");
    console.log(`   not watching after ${took} ms`);
    assert.ok(took < 1000, `said not watching only after ${took} ms`);
    server.child.kill("SIGCONT");
    await visit.page.waitForSelector("#not-watching", { state: "hidden", timeout: 10000 });
    server.child.kill("SIGKILL");
    await visit.page.waitForSelector("#not-watching:not([hidden])", { timeout: 5000 });
    visit.errors = visit.errors.filter((e) => !/ERR_CONNECTION|WebSocket connection/.test(e));
    await visit.close();
  },

  async form_job(browser) {
    const server = await serve();
    const visit = await Visit.open(browser, "form-phone", "phone", server.address);
    await visit.page.waitForSelector("#f-designation");
    await visit.tab_to("#f-designation");
    await visit.page.keyboard.type("6902");
    await visit.page.waitForSelector(".found button");
    await visit.look("found");
    await visit.page.keyboard.press("Tab");
    await visit.page.keyboard.press("Enter");
    assert.equal(await visit.page.inputValue("#f-designation"), "61902");
    await visit.page.screenshot({ path: path.join(shots, "form-phone-full.png"), fullPage: true });
    await visit.tab_to("#start button[type=submit]");
    await visit.page.keyboard.press("Enter");
    // No such instruments on this machine: the page says which and how to mend it.
    await until(visit.page, () => /Not started/.test(document.querySelector("#wait-title").textContent), null, 20000);
    await visit.look("refused");
    await visit.key("#wait-body button");
    await visit.page.waitForSelector("#start button.main");
    assert.match(await visit.page.textContent("#start button.main"), /Same again: 61902 out/);
    await visit.look("same-again");
    await visit.close();
    await server.end();
  },
};

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
for (const child of children) child.kill("SIGKILL");
rmSync(folder, { recursive: true, force: true });
console.log(`screenshots: ${path.relative(process.cwd(), shots)}`);
process.exit(failed ? 1 : 0);
