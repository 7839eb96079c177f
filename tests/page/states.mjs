// The live page in every state it can be in, on every size of screen, dark and bright: one real practice job, whose states are
// changed on their way to each page into what such a state would be. The warnings are the rules' own, read from their files.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { serve } from "./bench.mjs";
import { Visit, one_each, thorough, until } from "./visit.mjs";

const rules = fileURLToPath(new URL("../../src/watch/rules", import.meta.url));

// {id, call, hands, inspect[]} of every rule, from its RuleInfo.
function every_warning() {
  return readdirSync(rules).filter((name) => name.endsWith(".cpp")).map((name) => {
    const text = readFileSync(path.join(rules, name), "utf8").match(/RuleInfo info\{([\s\S]*?)\}\};/)?.[1];
    assert.ok(text, `${name}: no RuleInfo that can be read here`);
    const [head, list] = text.split("{"), parts = (s) => [...s.replaceAll(/"\s*\n\s*"/g, "").matchAll(/"((?:[^"\\]|\\.)*)"/g)].map((m) => m[1]);
    const [id, hands] = parts(head);
    return { id, hands, call: head.match(/Call::(\w+)/)[1].replaceAll("_", "-"), inspect: parts(list) };
  });
}

const says = "No release after 0.52 turn at 4380 N; this fit was expected to let go between 610 N and 1450 N, and the press is stretched.";
const loaded = { stage: "running", began: true, zeroed: true, phase: "seated", force_N: 4380, heading_N: 4720, turns: 0.52, turns_per_s: 0.4, peak_N: 4380, unloaded: false, warnings: [], stop_latched: false, silenced: true, message: "" };
const words = {
  turn: { ...loaded, word: "turn", force_N: 812, heading_N: 900, turns: 0.21, next: "Go on: one flat, pause, read." },
  slower: { ...loaded, word: "slower", next: "Slower: no more than 0.21 turn/s until it breaks loose." },
  wait: { ...loaded, word: "wait", heading_N: null, recording: "late", next: "Wait: the caliper has not spoken for 0.8 s. Hold where you are until it does." },
  stop: { ...loaded, word: "stop", recording: "stopped", next: "Stop turning and hold. The force is heading for the limit of 5000 N." },
};

async function every_state(browser, look, { size, colorScheme }) {
  const server = await serve();
  const first = await Visit.open(browser, `states-starter-${look}`, "laptop", server.address);
  await first.start_practice("clean", false);
  await first.before_you_pull(false);
  await first.page.context().close();

  const motion = colorScheme === "dark" ? "reduce" : "no-preference";
  let as_if = null, silent = false, newest = null, tell = null;
  const visit = await Visit.open(browser, `state-${look}`, size, "about:blank", { colorScheme, reducedMotion: motion });
  await visit.page.routeWebSocket(/\/live$/, (page) => {
    const wire = page.connectToServer();
    page.onMessage((text) => wire.send(text));
    tell = () => page.send(as_if && newest.t === "state" ? JSON.stringify({ ...newest, ...as_if }) : JSON.stringify(newest));
    wire.onMessage((text) => {
      if (silent) return;
      newest = JSON.parse(text);
      tell();
    });
  });
  visit.address = server.address;
  await visit.page.goto(server.address);
  await visit.page.waitForSelector("#live:not([hidden])");
  const become = async (state, holds, arg) => {
    as_if = state;
    if (newest.t === "state") tell();
    await until(visit.page, holds, arg, 5000);
  };

  for (const [word, state] of Object.entries(words)) {
    await become(state, (w) => document.querySelector("#word").textContent === w, word);
    await visit.look(word);
    const said = await visit.page.evaluate(() => [document.querySelector("#say").textContent, document.querySelector("#alarm-say").textContent]);
    assert.deepEqual(said, word === "stop" || word === "slower" ? ["", word] : [word, ""], "loud words are said at once, the others when there is time");
  }
  assert.equal(await visit.page.evaluate(() => matchMedia("(prefers-reduced-motion: reduce)").matches), motion === "reduce");
  assert.equal(await visit.page.evaluate(() => { const word = document.querySelector("#word"); word.classList.remove("changed"); void word.offsetWidth; word.classList.add("changed"); return word.getAnimations().length; }), motion === "reduce" ? 0 : 1, "no movement where none is wanted");

  for (const warning of every_warning()) {
    const is_stop = warning.call === "stop-and-inspect";
    const state = { ...words[is_stop ? "stop" : "turn"], warnings: [{ ...warning, says, t_s: 31.2, turns: 0.52, force_N: 4380 }], stop_latched: is_stop };
    await become(state, (hands) => !document.querySelector("#warning").hidden && document.querySelector("#warning .hands").textContent === hands, warning.hands);
    if (["driven-on", "heading-for-limit", "force-returns", "counter-disagrees"].includes(warning.id)) await visit.look(warning.id);
    else await visit.check(warning.id);
    await until(visit.page, () => document.activeElement.id === "warning-title", null, 5000);   // so it is read out when it comes
    const { role, hands_seen } = await visit.page.evaluate(() => ({ role: document.querySelector("#warning").getAttribute("role"), hands_seen: document.querySelector("#warning .hands").getBoundingClientRect().bottom <= innerHeight }));
    assert.equal(role, "alertdialog");
    assert.ok(hands_seen, `${visit.name} ${warning.id}: what the hands do now is below the screen`);
    if (is_stop) {
      await become({ ...state, unloaded: true, force_N: 3, heading_N: 3 }, () => document.querySelector("#warning button.hold")?.disabled === false);
      await visit.check(`${warning.id} unloaded`);
      assert.ok(await visit.page.evaluate(() => { const box = document.querySelector("#warning button.hold").getBoundingClientRect(); return box.bottom <= innerHeight && box.height >= 96; }), `${visit.name}: the button that clears is on the screen, and large`);
    }
    await become({ ...words.turn, warnings: [] }, () => document.querySelector("#warning").hidden);
  }

  // A page that hears nothing says so over a warning too, and gives the warning back.
  await become({ ...words.stop, warnings: [{ ...every_warning().find((w) => w.call === "stop-and-inspect"), says, t_s: 31.2, turns: 0.52, force_N: 4380 }], stop_latched: true }, () => document.activeElement.id === "warning-title");
  silent = true;
  await until(visit.page, () => !document.querySelector("#not-watching").hidden, null, 5000);
  await visit.look("not-watching");
  assert.deepEqual(await visit.page.evaluate(() => [document.querySelector("#alarm-say").textContent, document.activeElement.id]), ["not watching", "blind-silence"]);
  silent = false;
  await until(visit.page, () => document.querySelector("#not-watching").hidden && !document.querySelector("#warning").hidden && document.activeElement.id === "warning-title", null, 5000);
  visit.loses_server = true;
  await visit.close();
  await server.end();
}

const every_look = ["phone", "tablet", "upright", "laptop"].flatMap((size) => ["light", "dark"].map((colorScheme) => [`${size}_${colorScheme}`, { size, colorScheme }]));

export const tests = {
  ...one_each("every_state", thorough ? every_look : every_look.filter(([look]) => ["phone_dark", "laptop_light"].includes(look)), every_state),

  // Without them the states above would be fewer than there are.
  async warnings_read() {
    const warnings = every_warning();
    assert.ok(warnings.length >= 21 && new Set(warnings.map((w) => w.call)).size === 3, "the rules' files can be read");
  },
};
