// Guided calibration series on the page, with the practice rig's reference cell and block: by keys and by touches, to the end.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { serve } from "./bench.mjs";
import { Visit, one_each, thorough, until } from "./visit.mjs";

// Holds still wherever the step asks for it, until the series is over; looks at what is new on the way.
async function hold_through(visit, look) {
  const seen = new Set();
  for (;;) {
    const at = await visit.page.evaluate(() => ({ over: !!document.querySelector("#series #next-job"), ready: document.querySelector("#hold-still")?.disabled === false, words: document.querySelector("#hold-still")?.textContent, step: document.querySelector("#series .head")?.textContent }));
    if (at.over) return;
    if (!at.ready) { await visit.page.waitForTimeout(40); continue; }
    // What the step asks for is brought about by the practice hand.
    await until(visit.page, () => {
      const [asked, ...shown] = [...document.querySelectorAll("#series .number strong")].map((n) => n.textContent);
      const number = (text) => (text === "loose" ? 0 : Number(text.replace(/[^\d.]/g, "")));
      const target = number(asked), force = number(shown.filter((text) => text.endsWith("N")).at(-1) ?? "");
      // A jerk comes only at the word.
      if (/When I say now/.test(document.querySelector("#series .task").textContent)) return true;
      return document.querySelector("#series #next-job") || Math.abs(force - target) < 0.04 * target + 20;   // the cell's zero is off by some newtons; the stack gives after, and comes back
    }, null, 40000);
    if (look && !seen.has(at.words)) await visit.look(/read|say now/.test(at.words) ? "hold-still" : "preload");
    seen.add(at.words);
    await visit.use("#hold-still");
    if (look && at.words.includes("say now") && !seen.has("now") && await visit.page.evaluate(() => /When I say now/.test(document.querySelector("#series .task")?.textContent))) {
      seen.add("now");
      await visit.page.waitForSelector("#series[data-now=true]", { timeout: 30000 });
      await visit.look("now");
    }
    if (look && at.words.includes("read") && !seen.has("waiting")) {
      seen.add("waiting");
      await visit.look("waiting");
    }
    // Not before it was heard is a button that can be pressed the next step's.
    await until(visit.page, (step) => document.querySelector("#hold-still")?.disabled !== false || document.querySelector("#series .head")?.textContent !== step, at.step, 5000);
  }
}

async function calibrating(browser, size, kind, more) {
  const server = await serve();
  const visit = await Visit.open(browser, `calibrate-${kind}-${size}`, size, server.address, more);
  await visit.use("#start nav a[href='#calibrate']");
  await visit.page.waitForSelector("#other #start-series");
  await visit.choose(`#kind-${kind}`);
  await visit.choose("#practice-yes");
  await visit.write("#series-capacity_N", "2000");
  if (!thorough) await visit.write("#series-steady_s", "1");
  if (["force", "stiffness"].includes(kind)) await visit.write("#series-points", "5");
  if (["eccentric", "side-load", "torsion"].includes(kind)) await visit.write("#series-rounds", kind === "torsion" ? "2" : "1");
  if (kind === "lag") await visit.write("#series-jerks", "2");
  if (kind === "force") await visit.write("#series-runs", "1");
  await visit.look_at_all("form");
  await visit.use("#start-series");
  await visit.page.waitForSelector("#series:not([hidden]) #hold-still", { timeout: 15000 });
  await hold_through(visit, true);
  await visit.look_at_all("over");
  const text = await visit.page.textContent("#series");
  assert.match(text, { force: /Force over indication/, stiffness: /N\/mm/, daily: /The rig passes today/, lag: /ms later than force[^]*From 2 steps/, eccentric: /% of the force per mm/, "side-load": /N per N/, torsion: /N per Nm/ }[kind]);
  const file = text.match(/readings are in (\S+\.csv)/)[1], lines = readFileSync(file, "utf8").trim().split("\n");
  if (kind === "lag") assert.deepEqual([...new Set(lines.filter((line) => /^[\d.]+,/.test(line)).map((line) => line.split(",").at(-1)))], ["1", "2"]);
  else assert.equal(lines.filter((line) => /^[\d.-]+,/.test(line)).length, { force: 9, stiffness: 9, daily: 7, eccentric: 7, "side-load": 7, torsion: 8 }[kind], "five up, four down; the zero and six; undisturbed and all round");
  await visit.use("#next-job");
  await visit.page.waitForSelector("#start:not([hidden]), #other:not([hidden])");
  await visit.close();
  await server.end();
}

const stray_or_lag = ["lag", "eccentric", "side-load", "torsion"];   // named by what they are, as two may go with one size
const series = [["upright", "daily", { by: "touch" }], ...(thorough ? [["phone", "stiffness", { by: "touch" }], ["tablet", "force", { by: "keys", colorScheme: "dark" }],
  ["tablet", "lag", { by: "touch" }], ["laptop", "eccentric", { by: "keys" }], ["phone", "side-load", { by: "touch" }], ["upright", "torsion", { by: "touch", colorScheme: "dark" }]] : [])];

export const tests = {
  ...one_each("calibrating", series.filter(([, kind]) => !stray_or_lag.includes(kind)), calibrating),
  ...Object.fromEntries(series.filter(([, kind]) => stray_or_lag.includes(kind)).map(([size, kind, more]) => [`calibrating_${kind}`, (browser) => calibrating(browser, size, kind, more)])),

  // What can't be: said in words, nothing started.
  async calibrating_refused(browser) {
    const server = await serve();
    const visit = await Visit.open(browser, "calibrate-refused", "phone", server.address);
    await visit.page.goto(`${server.address}#calibrate`);
    await visit.choose("#kind-force");
    await visit.choose("#practice-yes");
    await visit.write("#series-capacity_N", "9000");
    await visit.use("#start-series");
    await until(visit.page, () => /above the rig's force_limit_N/.test(document.body.textContent), null, 10000);
    await visit.look("refused");
    await visit.close();
    await server.end();
  },
};
