// Joins the page together: which room is shown, what sounds, what a key does.
import { $, el, button, put } from "./dom.js";
import { Link, is_watched } from "./link.js";
import * as sounds from "./sounds.js";
import { wanted_view } from "./views.js";
import * as curve from "./views/curve.js";
import * as plan from "./views/plan.js";
import { LivePage } from "./views/live.js";
import { WarningScreen } from "./views/warning.js";
import { StartPage } from "./views/start.js";
import { BeforePage } from "./views/before.js";
import { EndPage } from "./views/end.js";
import { SeriesPage } from "./views/calibrate.js";

const act = (name, more) => link.act(name, more), post = (path, body) => link.post(path, body);
const live = new LivePage(act), warning = new WarningScreen(act), start = new StartPage(act, post), before = new BeforePage(act, post), end = new EndPage(act, post), series = new SeriesPage(act);
const rooms = ["wait-room", "start", "before", "live", "end", "series", "other"];
const needs_awake = ["live", "before", "series"];
let state = null, alive = true, room = null, quiet_word = null, quiet_blind = false, before_blind = null;

function enter(name) {
  if (room === name) return;
  room = name;
  for (const id of rooms) $(id).hidden = id !== name;
  if (name !== "start") start.leave();
  if (name !== "before") before.leave();
  if (name !== "end") end.leave();
  if (name !== "series") series.leave();
  if (name !== "other") leave_view();
  curve.close();
  plan.close();
  window.scrollTo(0, 0);
  keep_awake(needs_awake.includes(name));
}

function wait_room() {
  put($("wait-title"), state.stage === "opening" ? "Waiting for the instruments" : "Not started");
  const lines = state.not_ready.length ? state.not_ready : [state.ending || "One moment."];
  const key = state.stage + lines.join();
  if ($("wait-body").dataset.key === key) return;
  $("wait-body").dataset.key = key;
  $("wait-body").replaceChildren(el("ul", { class: "plain" }, lines.map((line) => el("li", null, line))),
    el("div", { class: "actions" }, state.stage === "opening" ? button("Leave this job", () => act("end")) : button("Back to the start", () => act("next"), { class: "main" })));
}

// A view of its own in place of the start or the end page; a job that begins puts it away.
let view = null, view_name = null;
function leave_view() {
  view?.leave();
  view = view_name = null;
}
async function show_view(wanted) {
  enter("other");
  if (view_name === wanted.name) return view?.told?.(state.problem);
  leave_view();
  view_name = wanted.name;
  const { View } = await wanted.load();
  if (view_name !== wanted.name) return;   // another was wanted meanwhile
  view = new View($("other"), act);
  view.show();
  view.told?.(state.problem);
}
addEventListener("hashchange", () => state && show(state));

function show(newest) {
  state = newest;
  const idle = state.stage === "idle" || state.stage === "ended", other = wanted_view();
  if (!idle && location.hash) history.replaceState(null, "", location.pathname);
  if (idle && other) {
    show_view(other);
    return sound();
  }
  const where = { idle: "start", opening: "wait-room", refused: "wait-room", ready: "before", running: "live", ended: "end", calibrating: "series" }[state.stage];
  enter(where);
  if (where === "start") start.show(state);
  else if (where === "wait-room") wait_room();
  else if (where === "before") before.show(state);
  else if (where === "live") live.show(state);
  else if (where === "series") series.show(state);
  else end.show(state);
  if (state.warnings) warning.show(state);
  if (state.stage !== "running") warning.hide();
  sound();
}

// What should sound now: blindness before a stop, a stop before a look, a look before slower.
function wanted() {
  const in_job = is_watched(state);
  if (!alive && in_job) return quiet_blind ? null : "blind";
  if (state?.stage === "calibrating") {
    if (!state.over_limit) quiet_word = null;
    return state.over_limit && !quiet_word ? "stop" : null;
  }
  if (!state || state.stage !== "running") return null;
  if (state.warnings.length && !state.silenced) return state.stop_latched ? "stop" : "look";
  if (quiet_word !== state.word) quiet_word = null;
  if (state.word === "slower" && !quiet_word) return "slower";
  if (state.word === "stop" && !state.stop_latched && !quiet_word) return "stop";
  return null;
}

function sound() { sounds.keep(wanted()); }

function link_changed(is_alive) {
  alive = is_alive;
  const in_job = is_watched(state);
  const blind = !alive && (in_job || !state || state.stage === "idle");
  if (blind && $("not-watching").hidden) before_blind = document.activeElement;
  $("not-watching").hidden = !blind;
  if (blind) {
    put($("blind-why"), in_job ? "This page hears nothing from the program that watches." : "The program is not running, or this page can't reach it.");
    put($("alarm-say"), "not watching");
    $("blind-silence").focus();
  } else {
    quiet_blind = false;
    // Back to what had the keys, so that a warning that was up is read out and answered as before.
    if (document.activeElement?.id === "blind-silence") before_blind?.focus();
    before_blind = null;
    if (state?.stage === "running") put($("alarm-say"), "");
  }
  sound();
}

// Any key, touch or pedal silences; what else it does stays the same.
function silence(event) {
  const was = sounds.kept();
  if (was === "blind") quiet_blind = true;
  else if (state.stage === "calibrating") quiet_word = "over";
  else if (was === "slower") quiet_word = state.word;
  else if (was) {
    if (state.warnings.length && !state.silenced) act("silence");
    else quiet_word = state.word;
  } else if (event.type === "keydown" && room === "live") {
    if (event.target.closest?.("button, dialog")) return;
    if (warning.key()) return event.preventDefault();
    if ((event.key === " " || event.key === "PageDown") && state.job.flats_by_hand && !event.repeat) {
      event.preventDefault();
      act("flat");
    }
    return;
  }
  if (was) sounds.keep(null);
}
addEventListener("keydown", silence, true);
addEventListener("pointerdown", (event) => { sounds.wake().catch(() => {}); silence(event); }, true);
$("blind-silence").addEventListener("click", () => { quiet_blind = true; sound(); });

// A tablet sleeps unless it is asked not to; browsers grant that to this machine's own page and to https, not to plain http.
let lock = null;
async function keep_awake(wanted_now) {
  if (!wanted_now) {
    await lock?.release();
    lock = null;
  } else if (navigator.wakeLock && !lock) {
    lock = await navigator.wakeLock.request("screen").catch(() => null);
  }
}
addEventListener("visibilitychange", () => { if (!document.hidden && needs_awake.includes(room)) { lock = null; keep_awake(true); } });

const link = new Link(show, link_changed);
