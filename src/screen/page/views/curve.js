// The curve, one touch away, over whatever is shown; in a job with the hand's word above it.
import { $, put } from "../dom.js";
import { force, turns } from "../words.js";

const ask_every_ms = 500;
let timer = null, back_to = null, chart = null, uncovered = null;

async function refresh() {
  const answer = await fetch("/data/curve", { cache: "no-store" }).catch(() => null);
  if (!answer || !answer.ok) return put($("curve-text"), "No curve yet.");
  const data = await answer.json();
  if ($("curve").hidden) return;
  chart?.show(data);
  const peak = data.points.reduce((most, p) => Math.max(most, p[3]), 0);
  put($("curve-text"), data.points.length ? `Highest reading ${force(peak)}. Shaded: the force expected for this fit; dotted: most likely.` : "No readings since the job began.");
}

// The page under it can't be seen meanwhile, and need not be drawn; `then` is called when it can be seen again.
export const covers = () => !$("curve").hidden;
export const when_uncovered = (then) => { uncovered = then; };

export function show_now(state) {
  const box = $("curve-now"), [word, N, turn] = box.children;
  box.hidden = state.stage !== "running";
  if (box.hidden) return;
  if (box.dataset.word !== state.word) box.dataset.word = state.word;
  put(word, state.word);
  put(N, force(state.force_N));
  put(turn, turns(state.turns));
}

export async function open() {
  back_to = document.activeElement;
  $("curve").hidden = false;
  $("curve-now").hidden = true;   // until there is a state to show
  $("close-curve").focus();
  timer ??= setInterval(refresh, ask_every_ms);
  const { Chart } = await import("../parts/chart.js");   // only a page that shows a curve loads what draws it
  if ($("curve").hidden || chart) return;
  chart = new Chart($("curve-box"));
  refresh();
}

export function close() {
  if ($("curve").hidden) return;
  $("curve").hidden = true;
  clearInterval(timer);
  timer = null;
  chart?.leave();
  chart = null;
  uncovered?.();
  back_to?.focus();
}

$("close-curve").addEventListener("click", close);
$("curve").addEventListener("keydown", (event) => {
  if (event.key === "Escape") close();
  if (event.key === "Tab") event.preventDefault();  // the one button keeps the focus
});
