// Force against turns in a box of its own: expected band and most likely line, the limit, the half turn, and what was
// measured. Axes, grid, band and lines are uPlot's, drawn anew only when the extents change; what was measured lies over them on a
// canvas of its own, because it grows all the time and its turns go back, which uPlot's lines can't.
//   const chart = new Chart(box);  chart.show(data);  chart.leave();
// `data` is what /data/curve answers: expected [[turns, low, mid, high], …], points [[t_s, turns | null, low_N, high_N], …],
// limit_N, half_turn; and marks [{ from_turns, to_turns, label }, …] where something on the curve has a number.
import uPlot from "../outside/uplot.js";
import { force } from "../words.js";

export const colour = (name) => () => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

const room_ahead = 1.15, too_much_room = 1.5;   // a curve that grows gets room, so that the axes seldom move

// A line through all points in their order, closed where it is a surface.
const through = (closed) => (u, index) => {
  const [xs, ys] = u.data[index], path = new Path2D();
  for (let i = 0; i < xs.length; ++i) path[i ? "lineTo" : "moveTo"](u.valToPos(xs[i], "x", true), u.valToPos(ys[i], "y", true));
  if (closed) path.closePath();
  return { stroke: path, fill: closed ? path : null, clip: null, flags: 0 };
};

const series = (label, stroke, width, more) =>
  ({ label, stroke: colour(stroke), width, paths: through(more?.closed), facets: [{ scale: "x", auto: false }, { scale: "y", auto: false }], points: { show: false }, ...more });

// Readings without turns, before contact, are left out; when none has turns, time takes their place.
function measured(data) {
  const with_turns = data.points.filter((p) => p[1] !== null), by_time = with_turns.length === 0;
  const from_s = data.points.length ? data.points[0][0] : 0;
  return { by_time, points: by_time ? data.points : with_turns, x_of: by_time ? (p) => p[0] - from_s : (p) => p[1] };
}

// From where to where, with some room beyond.
function extents(data, { by_time, points, x_of }, room) {
  let least_x = 0, most_x = by_time ? 1 : 0.7, most_y = 100;
  for (const p of points) {
    least_x = Math.min(least_x, x_of(p));
    most_x = Math.max(most_x, x_of(p));
    most_y = Math.max(most_y, p[3]);
  }
  least_x *= room;
  most_x *= 1.03 * room;
  if (!by_time) for (const e of data.expected) if (e[0] <= most_x) most_y = Math.max(most_y, e[3]);
  most_y *= 1.1 * room;
  if (data.limit_N > 0 && data.limit_N < most_y * 1.3) most_y = Math.max(most_y, data.limit_N * 1.08);
  return { by_time, least_x, most_x, most_y };
}

const holds = (view, need) => view.by_time === need.by_time && view.least_x <= need.least_x && view.most_x >= need.most_x && view.most_y >= need.most_y &&
  view.most_x < need.most_x * too_much_room && view.most_y < need.most_y * too_much_room;

// uPlot's columns of what stands still between the extents.
function standing(data, view) {
  const expected = view.by_time ? [] : data.expected.filter((e) => e[0] <= view.most_x), back = [...expected].reverse();
  return [null,
    [[...expected.map((e) => e[0]), ...back.map((e) => e[0])], [...expected.map((e) => e[3]), ...back.map((e) => e[1])]],
    [expected.map((e) => e[0]), expected.map((e) => e[2])],
    view.half ? [[data.half_turn, data.half_turn], [0, view.most_y]] : [[], []],
    view.limit ? [[view.least_x, view.most_x], [data.limit_N, data.limit_N]] : [[], []]];
}

export class Chart {
  constructor(box) {
    this.box = box;
    this.resized = new ResizeObserver(() => this.fit());
    this.resized.observe(box);
    this.dark = matchMedia("(prefers-color-scheme: dark)");
    this.recolour = () => { if (this.plot) { this.clear(); this.build(); } };
    this.dark.addEventListener("change", this.recolour);
  }

  size() { return { width: Math.floor(this.box.clientWidth), height: Math.floor(this.box.clientHeight) }; }

  // Larger letters on a larger screen; a new size of letter needs a new picture.
  letters() { return Math.round(Math.max(14, Math.min(20, this.box.clientWidth / 60))); }

  show(data) {
    this.data = data;
    this.line = measured(data);
    const need = extents(data, this.line, 1);
    if (this.view && holds(this.view, need)) return this.draw_measured();
    const view = this.view ? extents(data, this.line, room_ahead) : need;
    view.half = !view.by_time && data.half_turn < view.most_x;
    view.limit = data.limit_N > 0 && data.limit_N <= view.most_y;
    this.view = view;
    this.columns = standing(data, view);
    if (this.plot) this.plot.setData(this.columns);
    else this.build();
  }

  fit() {
    if (!this.plot) return this.data && this.build();
    if (this.letters() === this.drawn_letters) return this.plot.setSize(this.size());
    this.clear();
    this.build();
  }

  build() {
    const size = this.size(), px = this.letters();
    if (size.width < 40 || size.height < 40) return;
    this.drawn_letters = px;
    const font = `600 ${px}px system-ui, sans-serif`;
    const axis = (scale, more) => ({ scale, font, stroke: colour("--ink"), grid: { stroke: colour("--grid"), width: 1 }, ticks: { show: false }, ...more });
    this.bar = colour("--bar")();
    this.canvas = document.createElement("canvas");
    this.canvas.className = "measured";
    this.plot = new uPlot({
      ...size, mode: 2, legend: { show: false }, cursor: { show: false }, padding: [px, px, 0, 0],
      scales: { x: { time: false, range: () => [this.view.least_x, this.view.most_x] }, y: { range: () => [0, this.view.most_y] } },
      axes: [axis("x", { space: px * 5, size: px * 1.8, label: () => (this.view.by_time ? "seconds" : "turns since contact"), labelFont: font, labelSize: px * 1.5, labelGap: 0, values: (_, all) => all.map((v) => String(+v.toFixed(2))) }),
        axis("y", { space: px * 3.4, size: (_, all) => px * (0.9 + 0.64 * Math.max(4, ...(all || []).map((v) => v.length))), values: (_, all) => all.map(force) })],
      series: [{}, series("expected", "--band-line", 1.5, { closed: true, fill: colour("--band") }), series("most likely", "--band-line", 2.5, { dash: [3, 5] }),
        series("half turn", "--ink", 2, { dash: [10, 6] }), series("limit", "--limit", 4)],
      hooks: { draw: [(u) => { this.name_lines(u, font, px); this.draw_measured(u); }] },
    }, this.columns, this.box);
    this.plot.over.append(this.canvas);
  }

  // The one part that is drawn for new readings. Within a column of dots only the lowest and the highest are drawn, so that the
  // path is no longer than the picture can show.
  draw_measured(u = this.plot) {
    if (!u) return;
    const { width, height } = u.bbox, { least_x, most_x, most_y } = this.view, { points, x_of } = this.line, canvas = this.canvas;
    if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
    const c = this.context = this.canvas === this.context?.canvas ? this.context : canvas.getContext("2d");
    c.clearRect(0, 0, width, height);
    c.lineWidth = 3 * devicePixelRatio;
    c.lineJoin = c.lineCap = "round";
    c.strokeStyle = this.bar;
    const x_scale = width / (most_x - least_x), y_scale = height / most_y;
    c.beginPath();
    let column = NaN, low = 0, high = 0;
    const put = () => {
      c.lineTo(column, height - low * y_scale);
      if (high !== low) c.lineTo(column, height - high * y_scale);
    };
    for (const p of points) {
      const x = Math.round((x_of(p) - least_x) * x_scale);
      if (x === column) {
        low = Math.min(low, p[2]);
        high = Math.max(high, p[3]);
        continue;
      }
      if (column === column) put();
      [column, low, high] = [x, p[2], p[3]];
    }
    if (column === column) put();
    c.stroke();
  }

  name_lines(u, font, px) {
    const c = u.ctx, ratio = devicePixelRatio;
    c.save();
    c.font = font.replace(`${px}px`, `${px * ratio}px`);
    c.fillStyle = colour("--ink")();
    if (this.view.half) {
      c.textAlign = "left";
      c.fillText("half turn", u.valToPos(this.data.half_turn, "x", true) + 6 * ratio, u.bbox.top + px * ratio);
    }
    if (this.view.limit) {
      c.textAlign = "right";
      c.fillText("limit", u.bbox.left + u.bbox.width - 4 * ratio, u.valToPos(this.data.limit_N, "y", true) - 6 * ratio);
    }
    if (!this.view.by_time) (this.data.marks || []).forEach((mark, row) => this.draw_mark(u, mark, px, row + (this.view.half ? 1 : 0)));
    c.restore();
  }

  // A line over the stretch it is about, with its number on it; each mark in a row of its own.
  draw_mark(u, mark, px, row) {
    const c = u.ctx, ratio = devicePixelRatio, r = px * 0.75 * ratio;
    const at = (turns) => Math.max(u.bbox.left, Math.min(u.bbox.left + u.bbox.width, u.valToPos(turns, "x", true)));
    const from = at(mark.from_turns), to = at(mark.to_turns), x = Math.max(u.bbox.left + r, Math.min(u.bbox.left + u.bbox.width - r, (from + to) / 2)), y = u.bbox.top + r * (1.3 + 2.3 * row);
    c.fillStyle = c.strokeStyle = colour("--mark")();
    c.globalAlpha = 0.1;
    c.fillRect(from, y, Math.max(to - from, 2 * ratio), u.bbox.top + u.bbox.height - y);
    c.globalAlpha = 1;
    c.lineWidth = 3 * ratio;
    c.beginPath();
    c.moveTo(from, y + r);
    c.lineTo(from, y);
    c.lineTo(to, y);
    c.lineTo(to, y + r);
    c.stroke();
    c.beginPath();
    c.arc(x, y, r, 0, 2 * Math.PI);
    c.fill();
    c.fillStyle = colour("--panel")();
    c.textAlign = "center";
    c.textBaseline = "middle";
    c.fillText(mark.label, x, y + ratio);
    c.textBaseline = "alphabetic";
  }

  clear() {
    this.plot?.destroy();
    this.plot = this.context = null;
  }

  leave() {
    this.dark.removeEventListener("change", this.recolour);
    this.resized.disconnect();
    this.clear();
    this.data = this.line = null;
  }
}
