// Force as one column: the bar is what is measured, the hatched band what this fit was expected to need, the toothed line
// the limit, the open arrow where the force will be when a hand told to stop has stopped.
import { svg, put, set, show_if } from "../dom.js";
import { force } from "../words.js";

const top = 40, bottom = 284, left = 20, width = 50, beside = left + width + 17;

const label = (text = "") => svg("text", { x: beside, "font-size": 14, "font-weight": 700, class: "ink", visibility: "hidden" }, text);

export class Column {
  constructor(box) {
    const hatch = svg("pattern", { id: "hatch", width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
      svg("rect", { width: 7, height: 7, fill: "var(--band)" }), svg("rect", { width: 2, height: 7, fill: "var(--band-line)" }));
    this.band = svg("rect", { x: left - 12, width: width + 24, fill: "url(#hatch)", stroke: "var(--ink)", "stroke-width": 1.5, visibility: "hidden", class: "band" });
    this.frame = svg("rect", { class: "frame", x: left, y: top, width, height: bottom - top, fill: "var(--panel)", stroke: "var(--ink)", "stroke-width": 2.5 });
    this.bar = svg("rect", { x: left + 7, width: width - 14, y: bottom, height: 0, fill: "var(--bar)", class: "bar" });
    this.limit = svg("path", { d: "", fill: "var(--limit)", stroke: "var(--panel)", "stroke-width": 0.8, visibility: "hidden", class: "limit" });
    this.limit_text = label("limit");
    this.limit_number = label();
    this.band_text = label("expected");
    this.arrow = svg("path", { d: "", fill: "var(--panel)", stroke: "var(--ink)", "stroke-width": 2.5, visibility: "hidden", class: "arrow" });
    this.value = svg("text", { x: 84, y: 27, "text-anchor": "middle", "font-size": 31, "font-weight": 800, class: "ink" }, "—");
    this.text = label();
    this.text.setAttribute("y", bottom - 4);
    this.text.removeAttribute("visibility");
    this.picture = svg("svg", { viewBox: "0 0 168 290", role: "img", "aria-label": "Force" }, svg("defs", null, hatch),
      this.band, this.frame, this.bar, this.limit, this.limit_text, this.limit_number, this.band_text, this.arrow, this.value, this.text);
    box.replaceChildren(this.picture);
    this.full = 0;
  }

  y(N) { return bottom - (bottom - top) * Math.min(1, Math.max(0, N / this.full)); }

  scale(job) {
    const band = job.break_loose_N, limit = job.force_limit_N;
    // A band that would be a thin line under a far limit gets the column; the limit then stands at its top edge, broken.
    const wanted = Math.max(band ? band.high * 1.35 : 0, limit > 0 && (!band || limit < band.high * 4) ? limit * 1.12 : 0, 300);
    this.full = Math.max(wanted, this.seen || 0);
    const limit_y = this.y(limit);
    if (limit > 0) {
      let d = `M${left - 14} ${limit_y}`;
      for (let x = left - 14; x < left + width + 14; x += 6) d += `l3 -5 l3 5`;
      set(this.limit, "d", d + "v2.5H" + (left - 14) + "z");
      set(this.limit_text, "y", limit_y + 5);
      set(this.limit_number, "y", limit_y + 20);
      put(this.limit_number, force(limit));
    }
    for (const part of [this.limit, this.limit_text, this.limit_number]) show_if(part, limit > 0);
    if (band) {
      const high = this.y(band.high), low = this.y(band.low);
      set(this.band, "y", high);
      set(this.band, "height", Math.max(3, low - high));
      set(this.band_text, "y", Math.max((high + low) / 2 + 4, limit > 0 ? limit_y + 37 : 0));
    }
    for (const part of [this.band, this.band_text]) show_if(part, band);
  }

  show(state) {
    const N = state.force_N, heading = state.heading_N;
    if (state.peak_N > (this.seen || 0) && state.peak_N > this.full * 0.95) this.seen = state.peak_N * 1.25;
    this.scale(state.job);
    put(this.value, force(N));
    put(this.text, N === null ? "no reading" : "force now");
    const y = this.y(N ?? 0);
    set(this.bar, "y", y);
    set(this.bar, "height", bottom - y);
    show_if(this.bar, N !== null);
    const ahead = heading !== null && N !== null && heading - N > this.full * 0.03;
    show_if(this.arrow, ahead);
    if (ahead) {
      const hy = this.y(heading), x = left + width / 2;
      set(this.arrow, "d", `M${x} ${hy.toFixed(1)} l11 12 h-22z`);
    }
  }
}
