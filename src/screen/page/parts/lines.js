// Lines over a common x in a box of its own, gaps where there is nothing, with one band if wanted; dots on a
// line, or rings around some of them. All of it is uPlot's.
//   const lines = new Lines(box, { x: "turns from contact", y_text: (v) => `${v} N`, lines: [{ colour: "--bar", width: 3 }] });
//   lines.show(xs, [ys, …], [lows, highs]);  lines.leave();
import uPlot from "../outside/uplot.js";
import { colour } from "./chart.js";

export class Lines {
  constructor(box, options) {
    this.box = box;
    this.options = options;
    this.dark = matchMedia("(prefers-color-scheme: dark)");
    this.redraw = () => this.build();
    this.dark.addEventListener("change", this.redraw);
    this.resized = new ResizeObserver(() => this.fit());
    this.resized.observe(box);
  }

  size() { return { width: Math.floor(this.box.clientWidth), height: Math.floor(this.box.clientHeight) }; }

  show(xs, ys, band) {
    this.columns = [xs, ...(band || []), ...ys];   // the band first, so that the lines lie over it
    this.build();
  }

  fit() {
    if (this.plot) this.plot.setSize(this.size());
    else if (this.columns) this.build();
  }

  build() {
    const size = this.size(), { options } = this, px = Math.round(Math.max(12, Math.min(16, size.width / 50)));
    if (size.width < 40 || size.height < 40) return;
    this.plot?.destroy();
    const font = `600 ${px}px system-ui, sans-serif`;
    const axis = (more) => ({ font, stroke: colour("--ink"), grid: { stroke: colour("--grid"), width: 1 }, ticks: { show: false }, ...more });
    const range = (_, low, high) => {
      if (options.close_up && low !== null) {
        const room = 0.12 * (high - low) || 0.1 * Math.abs(high) || 1;
        return [low - room, high + room];
      }
      const bottom = options.y_from ?? Math.min(low ?? 0, 0), top = Math.max(high ?? 1, bottom + 1e-6), room = 0.06 * (top - bottom);
      return [options.y_from !== undefined ? bottom : bottom - room, top + room];
    };
    this.plot = new uPlot({
      ...size, legend: { show: false }, cursor: { show: false }, padding: [px, px, 0, 0],
      scales: { x: { time: false }, y: { range } },
      axes: [axis({ space: px * 5, size: px * 1.9, label: options.x, labelFont: font, labelSize: px * 1.6, labelGap: 0, incrs: options.whole_x ? [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 5000, 10000] : undefined, values: (_, all) => all.map((v) => String(+v.toFixed(2))) }),
        axis({ space: px * 2, size: px * 5, values: (_, all) => all.map((v) => options.y_text(v).replace("-", "−")) })],
      series: [{}, ...(options.band ? [{}, {}].map(() => ({ stroke: colour("--band-line"), width: 1, points: { show: false } })) : []),
        ...options.lines.map((line) => ({ stroke: colour(line.colour), width: line.width, dash: line.dash || undefined, spanGaps: false,
          points: { show: Boolean(line.dots), size: line.dots, stroke: colour(line.colour), fill: line.ring ? "transparent" : colour(line.colour), width: line.ring ? 3 : 1 } }))],
      bands: options.band ? [{ series: [2, 1], fill: colour("--band") }] : [],
      hooks: { draw: [(u) => options.zero && this.zero(u)] },
    }, this.columns, this.box);
  }

  zero(u) {
    const y = u.valToPos(0, "y", true);
    u.ctx.save();
    u.ctx.strokeStyle = colour("--ink")();
    u.ctx.lineWidth = devicePixelRatio;
    u.ctx.beginPath();
    u.ctx.moveTo(u.bbox.left, y);
    u.ctx.lineTo(u.bbox.left + u.bbox.width, y);
    u.ctx.stroke();
    u.ctx.restore();
  }

  leave() {
    this.dark.removeEventListener("change", this.redraw);
    this.resized.disconnect();
    this.plot?.destroy();
    this.plot = this.columns = null;
  }
}
