// The review pages, by keyboard alone: list, filter, open, compare, trends, calibrations, at phone, tablet and laptop size. Looks also for
// fields and pictures without words, and for targets under WCAG's own least size: these pages are read close up, without gloves.
import { execFile } from "node:child_process";
import { writeFileSync } from "node:fs";
import path from "node:path";
import { promisify } from "node:util";
import assert from "node:assert/strict";
import { bin, example, file, folder, serve } from "./bench.mjs";
import { Visit, one_each, thorough, until } from "./visit.mjs";

const hostile = "<img src=x onerror=alert(1)> & \"both\" </script>";

// Without holding up the test beside this one.
const run = promisify(execFile), ask = (...words) => run(path.join(bin, "halfturn"), words);

// A job's call is its exit status, and no failure.
const judge = (...words) => ask("judge", ...words).catch((ended) => { if (![10, 20, 30].includes(ended.code)) throw ended; });

// Ten practice jobs on one store, with what people add to them.
async function fill(store) {
  const rig = file("rig.toml", example("rig")), forms = { out: example("job"), in: example("job-in") };
  const scenarios = ["press-in", "clean", "clean", "galled", "bonded", "tilting", "clean", "loose-seat", "clean", "clean"];
  for (const [i, scenario] of scenarios.entries()) {
    const text = forms[scenario.startsWith("press-in") ? "in" : "out"].replace(/^item = .*$/m, `item = "wheel ${7 + Math.floor(i / 4)}"`).replace(/^who = .*$/m, `who = "${["Ana", "Ben", "Zoë"][i % 3]}"`);
    const job = file(`job${i}.toml`, text), log = path.join(folder, `log${i}.jsonl`);
    await run(path.join(bin, "halfturn-practice"), ["log", scenario, "--seed", String(i + 3), "--out", log]);
    await judge(log, "--job", job, "--rig", rig, "--keep", "--store", store);
  }
  const photo = path.join(folder, "photo.png");
  writeFileSync(photo, Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg==", "base64"));
  await ask("inspect", "4", "--who", "Ana", "--seen", "scored", "--gauge", "bore gauge 12", "--bore-mm", "27.991", "--bore-u-um", "2", "--decision", "rework", "--photo", photo, "--text", "scores from the mouth inwards", "--store", store);
  await ask("note", "2", hostile, "--who", "Ben", "--store", store);
  await ask("sign-off", "2", "clean pull", "--who", "Zoë", "--store", store);
  await ask("set-aside", "8", "wrong item named", "--who", "Ben", "--store", store);
  return store;
}

let filled = null, copies = 0;
// A store of its own for each test: a copy of the one that is filled once.
async function filled_store() {
  filled ??= fill(path.join(folder, "review.db"));
  const copy = path.join(folder, `review${++copies}.db`);
  await ask("export", "--store-copy", copy, "--store", await filled);
  return copy;
}

const small_targets = () => [...document.querySelectorAll("button, input, select, summary, nav a, td a.open, .press")]
  .filter((n) => n.checkVisibility() && n.getBoundingClientRect().width > 0).map((n) => ({ n, box: n.closest("label")?.getBoundingClientRect() || n.getBoundingClientRect() }))
  .filter(({ box }) => box.height < 23.5 || box.width < 23.5).map(({ n, box }) => `${n.tagName} "${n.textContent.trim().slice(0, 20)}" ${box.width.toFixed(0)}x${box.height.toFixed(0)}`);

// Every field has a name, every picture words, headings go down one step at a time, one main, one h1.
const unnamed = () => {
  const bad = [];
  for (const node of document.querySelectorAll("input, select, textarea")) if (node.checkVisibility() && !node.labels?.length && !node.getAttribute("aria-label")) bad.push(`no label: ${node.name || node.id}`);
  for (const node of document.querySelectorAll("img")) if (!node.alt) bad.push("no alt");
  for (const node of document.querySelectorAll("[role=img]")) if (!node.getAttribute("aria-label")) bad.push("no words for a picture");
  let level = 0;
  for (const node of document.querySelectorAll("h1, h2, h3")) { const now = Number(node.tagName[1]); if (now > level + 1) bad.push(`heading skips to ${node.textContent}`); level = now; }
  if (document.querySelectorAll("h1").length !== 1) bad.push("not one h1");
  const ids = [...document.querySelectorAll("[id]")].map((n) => n.id);
  for (const id of new Set(ids)) if (ids.filter((one) => one === id).length > 1) bad.push(`id twice: ${id}`);
  return bad;
};

class ReviewVisit extends Visit {
  get checked() { return ["poor_contrast", "weak_shapes", "cut_off"]; }

  async check(what) {
    await super.check(what);
    assert.deepEqual(await this.page.evaluate(small_targets), [], `${this.name} ${what}: targets under 24 px (WCAG 2.2, 2.5.8)`);
    assert.deepEqual(await this.page.evaluate(unnamed), [], `${this.name} ${what}: names`);
  }
  async count_is(text) { await until(this.page, (t) => document.querySelector(".count")?.textContent.includes(t), text, 10000); }
}

async function by_keyboard(browser, size, more) {
  const server = await serve([], undefined, await filled_store());
  const visit = await ReviewVisit.open(browser, `review-${size}`, size, server.address, more);
  const { page } = visit;
  // From the bench's start page into the list.
  await page.waitForSelector('#start a[href="/review"]');
  await visit.use('#start a[href="/review"]');
  await page.waitForSelector(".list a.open");
  await visit.count_is("10 jobs");
  await visit.look_at_all("list");

  // Search by the slash key, narrow by a call, take the filters away again.
  await page.keyboard.press("Tab");
  await page.keyboard.press("/");
  assert.equal(await page.evaluate(() => document.activeElement.id), "q-search");
  await page.keyboard.type("scores mouth");
  await visit.count_is("1 job");
  await until(page, () => /scores from the mouth/.test(document.querySelector(".passage")?.textContent), null, 10000);   // the first letters alone find another passage
  await visit.look_at_all("search");
  await visit.use("#clear");
  await visit.count_is("10 jobs");
  await visit.go_to("#q-search");
  await visit.hands.use("#q-call-stop-and-inspect", "Space");
  await until(page, () => [...document.querySelectorAll("tbody .badge")].every((b) => b.dataset.call === "stop-and-inspect") && document.querySelectorAll("tbody tr").length > 0, null, 10000);
  assert.match(page.url(), /call=stop-and-inspect/);
  await visit.use("#clear");
  await visit.count_is("10 jobs");
  if (!(await page.evaluate(() => document.querySelector("#more-fields").open))) await visit.use("#more-fields > summary");
  await visit.go_to("#q-finding");
  await page.keyboard.type("galled");
  await until(page, () => /#jobs\?.*finding=galled/.test(location.href) && document.querySelectorAll("tbody tr").length >= 1 && !/to be read/.test(document.querySelector(".count").textContent), null, 30000);
  await visit.look_at_all("finding");
  await visit.use("#clear");
  await visit.count_is("10 jobs");

  // Up and down through the jobs, into one, and Back.
  await visit.go_to("a.open");
  await page.keyboard.press("ArrowDown");
  assert.equal(await page.evaluate(() => document.activeElement.textContent), "Job 9");
  await page.goto(`${server.address}review#job/4`);
  await page.waitForSelector("h1 .badge");
  await page.waitForSelector("canvas");
  await page.evaluate(() => document.querySelector("img").scrollIntoView());   // it is loaded when it comes into sight
  await until(page, () => document.querySelector("img")?.complete && document.querySelector("#compare-like"), null, 15000);
  await visit.look_at_all("job-galled");
  assert.match(await page.textContent("main"), /the same to the last bit/);
  assert.match(await page.textContent("main"), /so none is drawn: torn metal/);
  // Its readings over time: closer by a button, along by an arrow, and the whole again.
  const said = () => page.textContent("section:has(#readings-closer) [role=status]");
  assert.match(await said(), /^All /);
  await visit.use("#readings-closer");
  await until(page, () => / of .*, from .* on\./.test(document.querySelector("section:has(#readings-closer) [role=status]").textContent), null, 10000);
  const before = await said();
  await page.keyboard.press("ArrowRight");
  await until(page, (was) => document.querySelector("section:has(#readings-closer) [role=status]").textContent !== was, before, 10000);
  await visit.look_at_all("readings-closer");
  await page.keyboard.press("Home");
  await until(page, () => /^All /.test(document.querySelector("section:has(#readings-closer) [role=status]").textContent), null, 10000);
  assert.ok(await page.evaluate(() => document.querySelector("img").naturalWidth) === 1, "the photo is shown");
  await page.goBack();
  await visit.count_is("10 jobs");
  await visit.go_to('a.open[href="#job/2"]');
  await page.keyboard.press("Enter");
  await page.waitForSelector("h1 .badge");
  await until(page, () => document.querySelector("#compare-like"), null, 15000);
  await visit.look_at_all("job-clean");
  assert.ok((await page.textContent(".entries")).includes(hostile), "markup in a note is text");
  assert.equal(await page.evaluate(() => document.querySelectorAll("img[src=x], script:not([src])").length), 0);

  // Over the nearest, then at the release, then typed numbers.
  await visit.use("#compare-like");
  await until(page, () => document.querySelectorAll("canvas").length === 2, null, 15000);
  await visit.look_at_all("compare");
  await visit.go_to("input[name=align]");
  await page.keyboard.press("ArrowRight");
  await until(page, () => /align=release/.test(location.hash) && document.querySelectorAll("canvas").length === 2, null, 15000);
  await visit.go_to("#compare-jobs");
  await page.keyboard.press("Control+A");
  await page.keyboard.type("2 4");
  await page.keyboard.press("Enter");
  await until(page, () => /jobs=2,4/.test(location.hash) && document.querySelectorAll("tbody tr").length === 2, null, 15000);
  await visit.look_at_all("compare-two");
  // Picked in the list.
  await visit.use('nav a[href="#jobs"]');
  await visit.count_is("10 jobs");
  for (const job of [3, 2]) await visit.hands.use(`input[aria-label="Compare job ${job}"]`, "Space");
  await visit.use("#compare-picked");
  await until(page, () => /jobs=3,2/.test(location.hash) && document.querySelectorAll("canvas").length === 2, null, 15000);
  await visit.use('nav a[href="#trends"]');
  await until(page, () => document.querySelectorAll("canvas").length > 0 && document.querySelector("h1").textContent === "Trends", null, 20000);
  await visit.look_at_all("trends");
  await visit.use('nav a[href="#calibrations"]');
  await until(page, () => document.querySelector("h1")?.textContent === "Calibrations", null, 10000);
  await visit.look_at_all("calibrations");
  await visit.close();
  await server.end();
}

export const tests = {
  ...one_each("review", [["laptop", {}], ["phone", { colorScheme: "dark" }], ...(thorough ? [["tablet", { colorScheme: "dark" }]] : [])], by_keyboard),

  // A job that begins is told to whoever reads, and takes no page away.
  async review_while_at_work(browser) {
    const server = await serve([], undefined, await filled_store());
    const reader = await ReviewVisit.open(browser, "review-at-work", "laptop", server.address);
    await reader.page.goto(`${server.address}review#job/4`);
    await reader.page.waitForSelector("h1 .badge");
    const bench = await Visit.open(browser, "bench-at-work", "tablet", server.address);
    await bench.page.waitForSelector("#start summary");
    await bench.page.evaluate(() => { document.querySelector("#start > details").open = true; });
    await bench.page.click('button[data-practice="clean"]');
    await until(reader.page, () => !document.querySelector("#at-work").hidden, null, 10000);
    assert.match(await reader.page.textContent("h1"), /Job 4/);
    await reader.look("at-work");
    await reader.close();
    await bench.close();
    await server.end();
  },
};
