// The curve, one touch away: expected band and most likely line, and what was measured, as lowest and highest per span.
import { $, put, force } from "./dom.js";

let timer = null, back_to = null;

const style = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

function ticks(most, about) {
  const raw = most / about, power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].find((m) => m * power >= raw) * power;
  const out = [];
  for (let v = 0; v <= most + step * 1e-6; v += step) out.push(v);
  return out;
}

export function draw(canvas, data) {
  const ratio = window.devicePixelRatio || 1, box = canvas.getBoundingClientRect();
  if (box.width < 40 || box.height < 40) return;
  canvas.width = Math.round(box.width * ratio);
  canvas.height = Math.round(box.height * ratio);
  const c = canvas.getContext("2d");
  c.scale(ratio, ratio);
  const size = Math.max(14, Math.min(20, box.width / 60));
  const left = size * 4.2, right = 12, top = size, bottom = size * 3;
  const with_turns = data.points.filter((p) => p[1] !== null);
  const by_time = with_turns.length === 0;
  const points = by_time ? data.points : with_turns;
  const x_of = (p) => (by_time ? p[0] - points[0][0] : p[1]);
  const most_x = Math.max(by_time ? 1 : 0.7, ...points.map(x_of)) * 1.03;
  const in_view = data.expected.filter((e) => e[0] <= most_x);
  let most_y = Math.max(100, ...points.map((p) => p[3]), ...(by_time ? [] : in_view.map((e) => e[3]))) * 1.1;
  if (data.limit_N > 0 && data.limit_N < most_y * 1.3) most_y = Math.max(most_y, data.limit_N * 1.08);
  const X = (v) => left + (box.width - left - right) * v / most_x;
  const Y = (v) => box.height - bottom - (box.height - top - bottom) * Math.max(0, v) / most_y;
  c.clearRect(0, 0, box.width, box.height);
  c.font = `600 ${size}px system-ui, sans-serif`;
  c.fillStyle = style("--ink");
  c.strokeStyle = style("--line");
  c.lineWidth = 1;
  c.textAlign = "right";
  for (const v of ticks(most_y, 5)) {
    c.globalAlpha = 0.4;
    c.beginPath(); c.moveTo(left, Y(v)); c.lineTo(box.width - right, Y(v)); c.stroke();
    c.globalAlpha = 1;
    c.fillText(v >= 1000 ? `${+(v / 1000).toFixed(1)} kN` : `${Math.round(v)} N`, left - 8, Y(v) + size * 0.35);
  }
  c.textAlign = "center";
  for (const v of ticks(most_x, box.width < 600 ? 4 : 8)) if (X(v) < box.width - size) c.fillText(String(+v.toFixed(2)), X(v), box.height - bottom + size * 1.3);
  c.fillText(by_time ? "seconds" : "turns since contact", (left + box.width - right) / 2, box.height - size * 0.45);
  if (!by_time && in_view.length > 1) {
    c.beginPath();
    in_view.forEach((e, i) => (i ? c.lineTo(X(e[0]), Y(e[3])) : c.moveTo(X(e[0]), Y(e[3]))));
    [...in_view].reverse().forEach((e) => c.lineTo(X(e[0]), Y(e[1])));
    c.closePath();
    c.fillStyle = style("--band"); c.globalAlpha = 0.75; c.fill(); c.globalAlpha = 1;
    c.strokeStyle = style("--band-line"); c.lineWidth = 1.5; c.stroke();
    c.setLineDash([3, 5]); c.lineWidth = 2.5; c.beginPath();
    in_view.forEach((e, i) => (i ? c.lineTo(X(e[0]), Y(e[2])) : c.moveTo(X(e[0]), Y(e[2]))));
    c.stroke(); c.setLineDash([]);
  }
  if (!by_time && data.half_turn < most_x) {
    c.strokeStyle = style("--ink"); c.lineWidth = 2; c.setLineDash([10, 6]);
    c.beginPath(); c.moveTo(X(data.half_turn), top); c.lineTo(X(data.half_turn), box.height - bottom); c.stroke(); c.setLineDash([]);
    c.fillStyle = style("--ink"); c.textAlign = "left"; c.fillText("half turn", X(data.half_turn) + 6, top + size);
  }
  if (data.limit_N > 0 && data.limit_N <= most_y) {
    c.strokeStyle = style("--limit"); c.lineWidth = 4;
    c.beginPath(); c.moveTo(left, Y(data.limit_N)); c.lineTo(box.width - right, Y(data.limit_N)); c.stroke();
    c.fillStyle = style("--ink"); c.textAlign = "right"; c.fillText("limit", box.width - right - 4, Y(data.limit_N) - 6);
  }
  c.strokeStyle = style("--bar"); c.lineWidth = 3; c.lineJoin = "round";
  c.beginPath();
  points.forEach((p, i) => {
    if (i) c.lineTo(X(x_of(p)), Y(p[2])); else c.moveTo(X(x_of(p)), Y(p[2]));
    if (p[3] !== p[2]) c.lineTo(X(x_of(p)), Y(p[3]));
  });
  c.stroke();
}

async function refresh() {
  const answer = await fetch("/data/curve", { cache: "no-store" }).catch(() => null);
  if (!answer || !answer.ok) return put($("curve-text"), "No curve yet.");
  const data = await answer.json();
  draw($("curve-canvas"), data);
  const peak = data.points.reduce((most, p) => Math.max(most, p[3]), 0);
  put($("curve-text"), data.points.length ? `Highest reading ${force(peak)}. Shaded: the force expected for this fit; dotted: most likely.` : "No readings since the job began.");
}

export function open() {
  back_to = document.activeElement;
  $("curve").hidden = false;
  $("close-curve").focus();
  refresh();
  timer ??= setInterval(refresh, 500);
}

export function close() {
  if ($("curve").hidden) return;
  $("curve").hidden = true;
  clearInterval(timer);
  timer = null;
  back_to?.focus();
}

$("close-curve").addEventListener("click", close);
$("curve").addEventListener("keydown", (event) => {
  if (event.key === "Escape") close();
  if (event.key === "Tab") event.preventDefault();  // the one button keeps the focus
});
