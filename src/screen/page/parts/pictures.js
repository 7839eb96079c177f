// Housing shapes as half sections: the hatched metal around the seat, the ring in it, the axis below.
import { svg } from "../dom.js";

// Outlines in a 100 x 70 box; the seat is the edge at y 46 from x 32 to 62, the axis runs at y 66.
const shapes = {
  "flush": "M32 14H62V46H32z",
  "bore-goes-on": "M32 14H94V46H32z",
  "shoulder-behind": "M32 14H94V56H62V46H32z",
  "long-tube": "M4 26H96V46H4z",
  "flange-behind": "M32 28H64V6H78V46H32z",
  "flange-over-seat": "M32 26H40V6H54V26H94V46H32z",
};

export const shape_words = {
  "flush": "ends with the ring", "bore-goes-on": "bore goes on", "shoulder-behind": "shoulder behind", "long-tube": "long tube",
  "flange-behind": "flange behind", "flange-over-seat": "flange over the seat", "unknown": "unknown",
};

let count = 0;

export function shape_picture(name) {
  const id = `metal${++count}`;
  const hatch = svg("pattern", { id, width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
    svg("rect", { width: 1.6, height: 6, fill: "currentColor" }));
  if (!shapes[name]) return svg("svg", { viewBox: "0 0 100 70", "aria-hidden": "true" }, svg("text", { x: 50, y: 52, "text-anchor": "middle", "font-size": 48, "font-weight": 800, fill: "currentColor" }, "?"));
  return svg("svg", { viewBox: "0 0 100 70", "aria-hidden": "true" }, svg("defs", null, hatch),
    svg("path", { d: shapes[name], fill: `url(#${id})`, stroke: "currentColor", "stroke-width": 2 }),
    svg("rect", { x: 32, y: 46, width: 30, height: 6, fill: "none", stroke: "currentColor", "stroke-width": 2 }),
    svg("circle", { cx: 47, cy: 56, r: 4, fill: "none", stroke: "currentColor", "stroke-width": 2 }),
    svg("path", { d: "M2 66H98", stroke: "currentColor", "stroke-width": 1.5, "stroke-dasharray": "10 3 2 3" }));
}

// How the drift gets at the ring: straight through the bore, or past a spacer that leaves only a rim.
export function access_picture(name) {
  const spacer = name === "past-spacer";
  return svg("svg", { viewBox: "0 0 100 70", "aria-hidden": "true" },
    svg("rect", { x: 14, y: 12, width: 14, height: 34, fill: "none", stroke: "currentColor", "stroke-width": 2.5 }),
    spacer ? svg("rect", { x: 30, y: 36, width: 40, height: 10, fill: "none", stroke: "currentColor", "stroke-width": 2, "stroke-dasharray": "4 3" }) : null,
    svg("path", { d: spacer ? "M92 28H29M37 21l-8 7 8 7" : "M92 50H29M37 43l-8 7 8 7", fill: "none", stroke: "currentColor", "stroke-width": 4 }),
    svg("path", { d: "M2 66H98", stroke: "currentColor", "stroke-width": 1.5, "stroke-dasharray": "10 3 2 3" }));
}

export function work_picture(name) {
  const out = name === "out";
  return svg("svg", { viewBox: "0 0 100 70", "aria-hidden": "true" },
    svg("path", { d: "M20 6H70V22H20zM20 48H70V64H20z", fill: "none", stroke: "currentColor", "stroke-width": 2.5 }),
    svg("rect", { x: out ? 56 : 66, y: 22, width: 14, height: 26, fill: "currentColor", opacity: 0.55 }),
    svg("path", { d: out ? "M48 35H96M88 28l8 7-8 7" : "M96 35H48M56 28l-8 7 8 7", fill: "none", stroke: "currentColor", "stroke-width": 4 }));
}
