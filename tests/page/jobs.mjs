// Whole practice jobs, from the start to the call: good and bad, by keys alone and by touches alone, on every size of screen.
import assert from "node:assert/strict";
import { serve } from "./bench.mjs";
import { Visit, one_each, thorough, until, word_is } from "./visit.mjs";

// Every size by each kind of hands; the colours and the motion that the device asks for are shared out over them.
const by_keys = [["laptop", { by: "keys", colorScheme: "dark" }], ...(thorough ? [["phone", { by: "keys", colorScheme: "dark" }], ["tablet", { by: "keys" }]] : [])];
const by_touch = [["phone", { by: "touch" }], ["upright", { by: "touch", reducedMotion: "reduce" }], ...(thorough ? [["laptop", { by: "touch" }]] : [])];

// The line of what was measured goes over more than half of the picture.
const inked = () => {
  const canvas = document.querySelector("#curve canvas.measured");
  if (!canvas?.width) return false;
  const { width, height } = canvas, copy = Object.assign(document.createElement("canvas"), { width, height }).getContext("2d", { willReadFrequently: true });
  copy.drawImage(canvas, 0, 0);
  const { data } = copy.getImageData(0, 0, width, height), columns = new Set();
  for (let i = 3; i < data.length; i += 4) if (data[i]) columns.add((i >> 2) % width);
  return columns.size > width / 2;
};

async function good_job(browser, size, more) {
  const server = await serve(["--brisk", "4"]);
  const visit = await Visit.open(browser, `clean-${size}-${more.by}`, size, server.address, more);
  await visit.start_practice("clean");
  await visit.before_you_pull(true);
  await word_is(visit.page, "turn");
  await visit.look("turn");
  await until(visit.page, () => /turns? since contact/.test(document.querySelector("#nut-box").textContent), null, 60000);
  await visit.look("contact");
  await visit.use("#open-curve");
  await until(visit.page, () => /Highest reading/.test(document.querySelector("#curve-text").textContent), null, 10000);
  await visit.look("curve");
  if (more.by === "keys") {
    await visit.page.keyboard.press("Escape");
    assert.equal(await visit.page.evaluate(() => document.activeElement.id), "open-curve", "focus comes back");
  } else {
    await visit.use("#close-curve");
  }
  await until(visit.page, () => /left the seat/.test(document.querySelector("#next").textContent), null, 150000);
  await visit.look("clear");
  await visit.use("#open-curve");
  await until(visit.page, inked, null, 10000);
  await visit.look("whole-curve");
  await visit.use("#close-curve");
  await visit.end_job();
  await visit.look_at_all("end");
  assert.equal(await visit.page.textContent("#end .call"), "nothing unusual");
  await visit.use("#next-job");
  await visit.page.waitForSelector("#start:not([hidden])");
  await visit.close();
  await server.end();
}

// What a glove does without meaning it. Each is long enough for the deliberate hold, or short and broad.
async function bump(visit) {
  const on = await visit.hands.place("#warning button.hold"), title = await visit.hands.place("#warning-title");
  const beside = (dx) => ({ x: on.x + dx, y: on.y });
  await visit.hands.touch([on], 250, 60);                                   // broad and short
  await visit.hands.touch([beside(-40), on, beside(40)], 1200, 20);         // several at once
  await visit.hands.touch([on, title], 1200, 20);                           // one on it, one elsewhere
  await visit.hands.touch([title], 1200, 40);                               // elsewhere
  await visit.hands.slide_off(on, title, 1200);                             // down on it, then away
}

async function bad_job(browser, size, more) {
  const server = await serve(["--brisk", "2"]);
  const visit = await Visit.open(browser, `bonded-${size}-${more.by}`, size, server.address, more);
  const still_there = async (what) => {
    await visit.page.waitForTimeout(300);
    assert.ok(await visit.page.isVisible("#warning"), `${visit.name}: ${what} cleared a stop`);
  };
  await visit.start_practice("bonded", false);
  await visit.before_you_pull(false);
  await visit.page.waitForSelector("#warning:not([hidden])[data-call=stop-and-inspect]", { timeout: 120000 });
  // Still loaded: no act of any kind clears it. The practice hand backs off within a few seconds.
  if (more.by === "touch") await visit.hands.touch([await visit.hands.place("#warning button.hold")], 1300);
  else for (const key of ["x", "Escape", "Enter", " "]) await visit.page.keyboard.press(key);
  await still_there("an act under load");
  assert.equal(await visit.page.textContent("#word"), "stop");
  await visit.look("stop");
  assert.ok(await visit.page.evaluate(() => document.querySelector("#alarm-say").textContent === "stop"), "said aloud");
  await until(visit.page, () => document.querySelector("#warning button.hold")?.disabled === false, null, 120000);
  await visit.look("unloaded");
  if (more.by === "touch") await bump(visit);
  else await visit.use("#warning button.hold");                             // a bump of a key
  await still_there("a bump");
  await visit.hold("#warning button.hold", 1400);
  await visit.page.waitForSelector("#warning", { state: "hidden", timeout: 5000 });
  await visit.look("after-stop");
  await visit.end_job();
  assert.equal(await visit.page.textContent("#end .call"), "stop and inspect");
  await visit.look_at_all("end");
  await visit.close();
  await server.end();
}

export const tests = {
  ...one_each("bad_jobs_by_touch", by_touch, bad_job),
  ...one_each("bad_jobs_by_keys", by_keys, bad_job),
  ...one_each("good_jobs_by_touch", by_touch, good_job),
  ...one_each("good_jobs_by_keys", by_keys, good_job),

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
    await visit.close();
  },

  async form_job(browser) {
    const server = await serve();
    const visit = await Visit.open(browser, "form-phone", "phone", server.address);
    await visit.write("#f-designation", "6902");
    // A bearing with two numbers is offered once; what was written first may still be on its way.
    await until(visit.page, () => document.querySelectorAll('[aria-label="Bearings found"] button').length === 1, null, 10000);
    await visit.look("found");
    await visit.page.keyboard.press("Tab");
    await visit.page.keyboard.press("Enter");
    assert.equal(await visit.page.inputValue("#f-designation"), "61902");
    await visit.look_at_all("full");
    await visit.use("#start button[type=submit]");
    // No such instruments on this machine: the page says which and how to mend it.
    await until(visit.page, () => /Not started/.test(document.querySelector("#wait-title").textContent), null, 20000);
    await visit.look("refused");
    await visit.use("#wait-body button");
    await visit.page.waitForSelector("#start button.main");
    assert.match(await visit.page.textContent("#start button.main"), /Same again: 61902 out/);
    await visit.look("same-again");
    await visit.close();
    await server.end();
  },
};

tests.server_lost.alone = true;   // measures time
