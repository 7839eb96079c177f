// A shift of eight hours in a few minutes: job after job on the real program, and each state that comes handed to the page many times
// over with other numbers, words and warnings, as many as a shift has if the machine has time for it. Neither side may keep any of
// it. Thorough only.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { serve } from "./bench.mjs";
import { Visit, thorough, until } from "./visit.mjs";

const shift_states = 8 * 3600 * 20;   // the program speaks at most twenty times a second while nothing changes
const jobs = 48, settled = 16;        // one every ten minutes; by the sixteenth everything was loaded and drawn once
const most_MiB = 2, most_elements = 20;

// In the page: as many states more as fit into 12 ms, so that the page has time for its own.
function many_for_one() {
  globalThis.states_had = 0;
  const Real = globalThis.WebSocket, words = ["turn", "turn", "slower", "wait", "turn", "stop"];
  const other = (state, i) => {
    const N = (i * 37) % 4000, warning = { id: "look", call: "look-closer", t_s: i, turns: 0.3, force_N: N, says: `Force ${N} N.`, hands: "Pause and look.", inspect: ["the seat"] };
    return { ...state, word: words[Math.floor(i / 40) % words.length], next: `Step ${i}.`, force_N: N, heading_N: N + i % 300, peak_N: 4000, turns: (i % 900) / 100, warnings: i % 200 < 60 ? [warning] : [], channels: state.channels.map((c) => ({ ...c, age_s: i % 7 / 10 })) };
  };
  globalThis.WebSocket = class extends Real {
    set onmessage(handle) {
      super.onmessage = (event) => {
        handle(event);
        if (!event.data.startsWith('{"t":"state"')) return;
        const state = JSON.parse(event.data), end = performance.now() + 12;
        if (state.stage !== "running") return;
        while (performance.now() < end) handle({ data: JSON.stringify(other(state, ++globalThis.states_had)) });
        handle(event);   // the true one stays
      };
    }
  };
}

const resident_MiB = (pid) => Number(readFileSync(`/proc/${pid}/status`, "utf8").match(/VmRSS:\s+(\d+)/)[1]) / 1024;

// Growth a job from the settled one on, by least squares.
function slope(samples, of) {
  const rows = samples.slice(settled), mean = (f) => rows.reduce((sum, s) => sum + f(s), 0) / rows.length, x = mean((s) => s.job), y = mean(of);
  return rows.reduce((sum, s) => sum + (s.job - x) * (of(s) - y), 0) / rows.reduce((sum, s) => sum + (s.job - x) ** 2, 0);
}

async function a_shift(browser) {
  const server = await serve(["--brisk", "5"]);
  const visit = await Visit.open(browser, "shift", "laptop", "about:blank"), { page } = visit;
  visit.address = server.address;
  await page.addInitScript(many_for_one);
  await page.goto(server.address);
  const wire = await page.context().newCDPSession(page);
  await wire.send("Performance.enable");
  const press = async (selector) => {
    await until(page, (s) => { const found = document.querySelector(`${s}:not([disabled])`); found?.click(); return found; }, selector, 20000);
  };
  const samples = [];
  for (let job = 0; job < jobs; ++job) {
    await press('#start button[data-practice="clean"]');
    for (let step = 1; step <= 6; ++step) {
      await until(page, (n) => document.querySelector("#before .step h2")?.textContent.startsWith(`${n} `), step, 20000);
      await press("#step-skip");
    }
    await press("#begin");
    await until(page, () => !document.querySelector("#live").hidden, null, 20000);
    await press("#open-curve");
    const enough = shift_states * (job + 1) / jobs;
    for (const end = Date.now() + 6000; Date.now() < end && (await page.evaluate(() => globalThis.states_had)) < enough;) await page.waitForTimeout(200);
    await press("#close-curve");
    await press("#end-job");
    await until(page, () => { if (!document.querySelector("#live").hidden) document.querySelector("#end-job").click(); return document.querySelector("#next-job"); }, null, 20000);
    await press("#next-job");
    await until(page, () => document.querySelector("#start:not([hidden]) summary"), null, 20000);
    for (let i = 0; i < 2; ++i) await wire.send("HeapProfiler.collectGarbage");
    const at = Object.fromEntries((await wire.send("Performance.getMetrics")).metrics.map((m) => [m.name, m.value]));
    samples.push({ job, heap_MiB: at.JSHeapUsedSize / 2 ** 20, elements: at.Nodes, listeners: at.JSEventListeners, server_MiB: resident_MiB(server.child.pid), files: readdirSync(`/proc/${server.child.pid}/fd`).length });
  }
  const states = await page.evaluate(() => globalThis.states_had), grown = {};
  for (const name of ["heap_MiB", "elements", "listeners"]) grown[name] = slope(samples, (s) => s[name]) * jobs * Math.max(1, shift_states / states);
  for (const name of ["server_MiB", "files"]) grown[name] = slope(samples, (s) => s[name]) * jobs;
  const words = Object.entries(grown).map(([name, by]) => `${name} ${samples[settled][name].toFixed(1)} → ${samples.at(-1)[name].toFixed(1)} (${by >= 0 ? "+" : ""}${by.toFixed(2)} a shift)`).join("; ");
  console.log(`   ${jobs} jobs, ${states} states of a shift's ${shift_states}: ${words}`);
  assert.ok(states >= shift_states / 4, `the page took only ${states} states`);
  for (const [name, most] of [["heap_MiB", most_MiB], ["elements", most_elements], ["listeners", most_elements], ["server_MiB", most_MiB], ["files", 1]]) assert.ok(grown[name] <= most, `${name} grows by ${grown[name].toFixed(2)} a shift`);
  visit.loses_server = true;   // a page that is held up on purpose may say so
  await visit.close();
  await server.end();
}
a_shift.alone = true;

export const tests = thorough ? { a_shift } : {};
