// A visit to the page by one kind of hands: keys only, or touches only. Collects what a page must not do.
import path from "node:path";
import { fileURLToPath } from "node:url";
import assert from "node:assert/strict";
import { shots } from "./bench.mjs";

const looks = fileURLToPath(new URL("looks.js", import.meta.url));

// Every size and scheme: the everyday check takes a few of them.
export const thorough = process.argv.includes("--thorough");

export const sizes = {
  phone: { viewport: { width: 390, height: 844 }, deviceScaleFactor: thorough ? 2 : 1 },
  tablet: { viewport: { width: 1024, height: 768 }, deviceScaleFactor: 1 },
  upright: { viewport: { width: 800, height: 1280 }, deviceScaleFactor: 1 },
  laptop: { viewport: { width: 1366, height: 768 }, deviceScaleFactor: 1 },
};

// Polled from here: the page's content security policy forbids what the browser driver's own waiting would evaluate.
export async function until(page, holds, arg, timeout) {
  let wrong = "";   // what is looked at may not be there yet
  for (const end = Date.now() + timeout; Date.now() < end; await page.waitForTimeout(30)) if (await page.evaluate(holds, arg).catch((error) => { wrong = ` (${error})`; })) return;
  assert.fail(`waited ${timeout / 1000} s in vain for ${holds}${wrong}`);
}

export const word_is = (page, word, timeout = 90000) => until(page, (w) => document.querySelector("#word").textContent === w, word, timeout);

// A test for each of the list's entries, named after what each begins with.
export const one_each = (name, list, run) => Object.fromEntries(list.map((one) => [`${name}_${one[0]}`, (browser) => run(browser, ...one)]));

// By Tab, Enter and keys alone.
class Keys {
  constructor(visit) { Object.assign(this, { visit, page: visit.page }); }

  async go_to(selector) {
    await this.page.waitForSelector(selector);
    this.wire ??= await this.page.context().newCDPSession(this.page);
    for (let i = 0; i < 160;) {
      // At first as many as it looks from here, without a word between; whether that was right is looked at after.
      const away = Math.min(await this.page.evaluate((s) => globalThis.looks.tabs_to(s), selector), i ? 1 : 160);
      if (away === 0) return;
      const keys = Array.from({ length: away }, () => ["rawKeyDown", "keyUp"].map((type) => this.wire.send("Input.dispatchKeyEvent", { type, key: "Tab", code: "Tab", windowsVirtualKeyCode: 9 })));
      await Promise.all(keys.flat());
      i += away;
    }
    assert.fail(`${this.visit.name}: ${selector} can't be reached by keyboard`);
  }
  async use(selector, key = "Enter") {
    await this.go_to(selector);
    await this.page.keyboard.press(key);
  }
  async hold(selector, ms) {
    await this.go_to(selector);
    await this.page.keyboard.down("Enter");
    await this.page.waitForTimeout(ms);
    await this.page.keyboard.up("Enter");
  }
  async choose(selector) {   // one of several cards: arrows go from card to card, the space bar ticks
    await this.page.waitForSelector(selector, { state: "attached" });
    if (await this.page.evaluate((s) => document.querySelector(s).type === "checkbox", selector)) return this.use(selector, "Space");
    const name = await this.page.evaluate((s) => document.querySelector(s).name, selector);
    await this.go_to(`input[name="${name}"]`);
    await this.page.keyboard.press("Space");
    for (let i = 0; i < 20 && !(await this.page.evaluate((s) => document.querySelector(s).checked, selector)); ++i) await this.page.keyboard.press("ArrowRight");
  }
  async write(selector, text) {
    await this.go_to(selector);
    await this.page.keyboard.press("ControlOrMeta+A");
    await this.page.keyboard.type(text);
  }
}

// By touches alone; text comes from the device's own keyboard.
class Fingers {
  constructor(visit) { Object.assign(this, { visit, page: visit.page }); }

  async place(selector) {
    const target = await this.page.waitForSelector(selector);
    await target.scrollIntoViewIfNeeded();
    const box = await target.boundingBox();
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  }
  // All fingers down at once, held, and up again. Radius in CSS px: a fingertip has about 12, a glove's side 40.
  async touch(points, ms, radius = 12) {
    this.wire ??= await this.page.context().newCDPSession(this.page);
    const touchPoints = points.map(({ x, y }, id) => ({ x, y, id, radiusX: radius, radiusY: radius }));
    await this.wire.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints });
    await this.page.waitForTimeout(ms);
    await this.wire.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
  }
  // Down at one place, at once on to another, and held there.
  async slide_off(from, to, ms) {
    this.wire ??= await this.page.context().newCDPSession(this.page);
    await this.wire.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ ...from, id: 0 }] });
    await this.wire.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: [{ ...to, id: 0 }] });
    await this.page.waitForTimeout(ms);
    await this.wire.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
  }
  async use(selector) { await this.touch([await this.place(selector)], 40); }
  async hold(selector, ms) { await this.touch([await this.place(selector)], ms); }
  async choose(selector) {
    const card = await this.page.waitForSelector(selector, { state: "attached" });
    await this.use(`label[for="${await card.getAttribute("id")}"]`);
  }
  async write(selector, text) {
    await this.use(selector);
    await this.page.evaluate(() => document.activeElement.select());
    await this.page.keyboard.insertText(text);
  }
}

export class Visit {
  constructor(name, page, address) { Object.assign(this, { name, page, address, errors: [], outside: [], shot: 0 }); }

  // `more` are options of the browser context; {by: "touch"} uses touches instead of keys.
  static async open(browser, name, size, address, { by = "keys", ...more } = {}) {
    const context = await browser.newContext({ ...sizes[size], hasTouch: by === "touch", ...more });
    const page = await context.newPage();
    await page.addInitScript({ path: looks });
    // When "not watching" was said, by the page's own clock: no driver's waiting in it.
    await page.addInitScript(() => {
      globalThis.blind_at = [];
      addEventListener("DOMContentLoaded", () => {
        const box = document.querySelector("#not-watching");
        if (box) new MutationObserver(() => { if (!box.hidden) globalThis.blind_at.push(Date.now()); }).observe(box, { attributes: true, attributeFilter: ["hidden"] });
      });
    });
    const visit = new this(name, page, address);
    visit.hands = by === "touch" ? new Fingers(visit) : new Keys(visit);
    page.on("console", (m) => { if (["error", "warning"].includes(m.type())) visit.errors.push(m.text()); });
    page.on("pageerror", (e) => visit.errors.push(String(e)));
    page.on("request", (r) => { if (!r.url().startsWith(visit.address) && !r.url().startsWith(visit.address.replace("http", "ws"))) visit.outside.push(r.url()); });
    await page.goto(address);
    return visit;
  }

  get checked() { return ["poor_contrast", "weak_shapes", "small_targets", "cut_off"]; }

  async look(what) {
    await this.page.evaluate(() => Promise.allSettled(document.getAnimations().map((movement) => movement.finished)));   // of a new word
    await this.page.screenshot({ path: path.join(shots, `${this.name}-${String(++this.shot).padStart(2, "0")}-${what}.png`) });
    await this.check(what);
  }
  // The whole length of a page that is longer than the screen.
  async look_at_all(what) {
    await this.page.screenshot({ path: path.join(shots, `${this.name}-${String(++this.shot).padStart(2, "0")}-${what}.png`), fullPage: true });
    await this.check(what);
  }
  async check(what) {
    for (const [look, wrong] of await this.page.evaluate((names) => names.map((name) => [name, globalThis.looks[name]()]), this.checked))
      assert.deepEqual(wrong, [], `${this.name} ${what}: ${look}`);
  }

  go_to(selector) { return this.hands.go_to(selector); }
  use(selector) { return this.hands.use(selector); }
  hold(selector, ms) { return this.hands.hold(selector, ms); }
  choose(selector) { return this.hands.choose(selector); }
  write(selector, text) { return this.hands.write(selector, text); }

  async start_practice(scenario, look = true) {
    await this.page.waitForSelector("#start summary", { timeout: 10000 });
    if (look) await this.look("start");
    const open = await this.page.evaluate(() => document.querySelector("#start > details").open);
    if (!open) await this.use("#start > details > summary");
    await this.use(`button[data-practice="${scenario}"]`);
    await this.page.waitForSelector("#before:not([hidden]) .step", { timeout: 20000 });
  }

  // On to the next step by one touch or key.
  async step_on(selector) {
    const title = () => this.page.textContent("#before .step h2"), here = await title();
    await this.use(selector);
    for (const end = Date.now() + 3000; Date.now() < end; await this.page.waitForTimeout(40)) if ((await title()) !== here) return;
    assert.fail(`${this.name}: "${here}" does not go on`);
  }

  async before_you_pull(look) {
    await this.use("button[data-sound=stop]");
    if (look) await this.look("before-sounds");
    await this.step_on("#step-done");
    if (look) await this.look("before-instruments");
    assert.match(await this.page.textContent("#before .step table"), /screw travel−?[\d.]+\u00a0mm/, "travel as the caliper shows it");
    await this.step_on("#step-done");                   // instruments
    if (look) await this.look("before-cautions");
    await this.step_on("#step-done");                   // cautions
    await this.step_on("#step-skip");                   // drift and support: skipped on purpose
    await this.use("#zero-now");
    await until(this.page, () => !document.querySelector("#step-done").disabled, null, 10000);
    if (look) await this.look("before-zero");
    await this.step_on("#step-done");
    await this.step_on("#step-done");                   // direction
    if (look) await this.look("before-begin");
    await this.use("#begin");
    await this.page.waitForSelector("#live:not([hidden])");
  }

  // A job that is not over is ended only when asked twice.
  async end_job() {
    await this.use("#end-job");
    await this.page.waitForTimeout(300);
    if (await this.page.isVisible("#live")) await this.use("#end-job");
    await this.page.waitForSelector("#end:not([hidden]) .call");
    await until(this.page, () => !document.querySelector("#end .bad:not([hidden])"), null, 15000);
  }

  // The browser notes a refusal that the page itself has shown in words.
  forget_refusals() { this.errors = this.errors.filter((e) => !/status of 400/.test(e)); }

  async close() {
    if (this.loses_server) this.errors = this.errors.filter((e) => !/ERR_CONNECTION|WebSocket connection/.test(e));
    assert.deepEqual(this.errors, [], `${this.name}: console`);
    assert.deepEqual(this.outside, [], `${this.name}: requests to elsewhere`);
    if (!this.loses_server) assert.deepEqual(await this.page.evaluate(() => globalThis.blind_at), [], `${this.name}: said "not watching" without cause`);
    await this.page.context().close();
  }
}
