// The curve, one touch away, over whatever is shown.
import { $, put } from "../dom.js";
import { force } from "../words.js";

let timer = null, back_to = null, chart = null;

async function refresh() {
  const answer = await fetch("/data/curve", { cache: "no-store" }).catch(() => null);
  if (!answer || !answer.ok) return put($("curve-text"), "No curve yet.");
  const data = await answer.json();
  if ($("curve").hidden) return;
  chart?.show(data);
  const peak = data.points.reduce((most, p) => Math.max(most, p[3]), 0);
  put($("curve-text"), data.points.length ? `Highest reading ${force(peak)}. Shaded: the force expected for this fit; dotted: most likely.` : "No readings since the job began.");
}

export async function open() {
  back_to = document.activeElement;
  $("curve").hidden = false;
  $("close-curve").focus();
  timer ??= setInterval(refresh, 500);
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
  back_to?.focus();
}

$("close-curve").addEventListener("click", close);
$("curve").addEventListener("keydown", (event) => {
  if (event.key === "Escape") close();
  if (event.key === "Tab") event.preventDefault();  // the one button keeps the focus
});
