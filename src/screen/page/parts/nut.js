// Turns since contact as the six flats of a hexagon nut, seen along the screw. The upper three are the half turn that
// decides: they are drawn thicker, with a bracket over them. Each flat fills as the handle turns through it.
import { svg, put, set, show_if } from "../dom.js";

const upright = matchMedia("(orientation: portrait)");

// Corners clockwise from the left one, so that the first three flats are the upper half.
const corner = (i, radius) => {
  const angle = (180 + 60 * i) * Math.PI / 180;
  return [100 + radius * Math.cos(angle), 104 + radius * Math.sin(angle)];
};
const middle = (i, radius) => [0, 1].map((k) => (corner(i, radius)[k] + corner(i + 1, radius)[k]) / 2);

export class Nut {
  constructor(box) {
    this.flats = [];
    const parts = [svg("circle", { cx: 100, cy: 104, r: 28, class: "edge", "stroke-width": 2.5, "stroke-dasharray": "9 3" })];
    for (let i = 0; i < 6; ++i) {
      const [x1, y1] = corner(i, 78), [x2, y2] = corner(i + 1, 78), width = i < 3 ? 18 : 11;
      const line = (more) => svg("line", { x1, y1, x2, y2, stroke: "var(--ink)", "stroke-width": width, ...more });
      const filled = line({ x2: x1, y2: y1, visibility: "hidden", class: "filled" });
      const [x, y] = middle(i, 53);
      this.flats.push({ filled, x1, y1, x2, y2 });
      parts.push(line({ opacity: 0.22 }), filled,
        svg("text", { x, y: y + 6, "text-anchor": "middle", class: "ink", "font-size": i < 3 ? 18 : 14, "font-weight": i < 3 ? 800 : 500 }, String(i + 1)));
    }
    this.bracket = svg("path", { d: `M4 104 L${corner(1, 96)} L${corner(2, 96)} L196 104`, class: "edge", "stroke-width": 2.5, "stroke-dasharray": "7 4" });
    this.mark = svg("text", { x: 100, y: 13, class: "ink", "font-size": 14, "font-weight": 700, "text-anchor": "middle" }, "the half turn that decides");
    this.value = svg("text", { y: 0, class: "ink", "font-size": 64, "font-weight": 800 }, "—");
    this.unit = svg("text", { y: 26, class: "ink", "font-size": 19, "font-weight": 650 });
    this.words = svg("g", null, this.value, this.unit);
    this.picture = svg("svg", { role: "img", "aria-label": "Turns since contact" }, parts, this.bracket, this.mark, this.words);
    box.replaceChildren(this.picture);
    upright.addEventListener("change", () => this.lay_out());
    this.lay_out();
  }

  // The number stands beside the nut on a wide screen, under it on a tall one.
  lay_out() {
    const tall = upright.matches;
    this.picture.setAttribute("viewBox", tall ? "-8 0 216 272" : "-8 0 413 186");
    this.words.setAttribute("transform", tall ? "translate(100 238)" : "translate(222 118)");
    for (const text of [this.value, this.unit]) text.setAttribute("text-anchor", tall ? "middle" : "start");
  }

  // On the way in there is no release to wait for.
  decides(wanted) {
    for (const part of [this.bracket, this.mark]) show_if(part, wanted);
  }

  show(turns, phase) {
    const known = turns !== null;
    put(this.value, known ? Math.max(0, turns).toFixed(2) : "—");
    put(this.unit, !known ? (phase === "slack" ? "no contact yet" : "turn not known") : turns < -0.005 ? "back past contact" : turns > 1 ? "turns since contact" : "turn since contact");
    for (let i = 0; i < 6; ++i) {
      const flat = this.flats[i];
      const part = known ? Math.min(1, Math.max(0, turns * 6 - i)) : 0;
      show_if(flat.filled, part > 0.01);
      set(flat.filled, "x2", flat.x1 + (flat.x2 - flat.x1) * part);
      set(flat.filled, "y2", flat.y1 + (flat.y2 - flat.y1) * part);
    }
  }
}
