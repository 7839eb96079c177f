// Turns since contact as the six flats of a hexagon nut, seen along the screw. The first three are the half turn that
// decides: they are drawn thicker, with a bracket around them. Each flat fills as the handle turns through it.
import { svg, put } from "./dom.js";

const corner = (i, radius) => {
  const angle = (-90 + 60 * i) * Math.PI / 180;
  return [100 + radius * Math.cos(angle), 100 + radius * Math.sin(angle)];
};

export class Nut {
  constructor(box) {
    this.flats = [];
    const parts = [];
    for (let i = 0; i < 6; ++i) {
      const [x1, y1] = corner(i, 76), [x2, y2] = corner(i + 1, 76);
      const width = i < 3 ? 17 : 11;
      const track = svg("line", { x1, y1, x2, y2, stroke: "var(--ink)", "stroke-width": width, opacity: 0.22 });
      const filled = svg("line", { x1, y1, x2: x1, y2: y1, stroke: "var(--ink)", "stroke-width": width, visibility: "hidden" });
      const [nx, ny] = [(corner(i, 54)[0] + corner(i + 1, 54)[0]) / 2, (corner(i, 54)[1] + corner(i + 1, 54)[1]) / 2];
      const number = svg("text", { x: nx, y: ny + 5, "text-anchor": "middle", class: "ink", "font-size": i < 3 ? 15 : 12, "font-weight": i < 3 ? 800 : 500 }, String(i + 1));
      this.flats.push({ filled, x1, y1, x2, y2 });
      parts.push(track, filled, number);
    }
    // The bracket from the top corner round the right side to the bottom corner: the half turn.
    const bracket = svg("path", { d: "M104 6 L187 53 L187 147 L104 194", class: "edge", "stroke-width": 2.5, "stroke-dasharray": "7 4" });
    const mark = svg("text", { x: 196, y: 100, class: "ink", "font-size": 13, "font-weight": 700, transform: "rotate(90 196 100)", "text-anchor": "middle" }, "the half turn that decides");
    this.value = svg("text", { x: 100, y: 104, "text-anchor": "middle", class: "ink", "font-size": 31, "font-weight": 800 }, "—");
    this.unit = svg("text", { x: 100, y: 121, "text-anchor": "middle", class: "ink", "font-size": 12, "font-weight": 600 }, "turn");
    this.picture = svg("svg", { viewBox: "6 0 204 200", role: "img", "aria-label": "Turns since contact" }, parts, bracket, mark, this.value, this.unit);
    box.replaceChildren(this.picture);
  }

  show(turns, phase) {
    const known = turns !== null;
    put(this.value, known ? turns.toFixed(2) : "—");
    put(this.unit, known ? "turn since contact" : phase === "slack" ? "no contact yet" : "turn not known");
    for (let i = 0; i < 6; ++i) {
      const flat = this.flats[i];
      const part = known ? Math.min(1, Math.max(0, turns * 6 - i)) : 0;
      flat.filled.setAttribute("visibility", part > 0.01 ? "visible" : "hidden");
      flat.filled.setAttribute("x2", flat.x1 + (flat.x2 - flat.x1) * part);
      flat.filled.setAttribute("y2", flat.y1 + (flat.y2 - flat.y1) * part);
    }
  }
}
