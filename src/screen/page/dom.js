// Small helpers: elements without markup strings, SVG shapes, and numbers for people.

export const $ = (id) => document.getElementById(id);

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, value);
  }
  for (const child of children.flat()) if (child !== null && child !== undefined && child !== false) node.append(child);
  return node;
}

export const el = (tag, attributes, ...children) => fill(document.createElement(tag), attributes, children);
export const svg = (tag, attributes, ...children) => fill(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
export const button = (text, onclick, attributes) => el("button", { type: "button", onclick, ...attributes }, text);

// replaceChildren, which would write "null" for what is left out.
export const fill_with = (node, ...children) => node.replaceChildren(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));

// Sets the text only when it differs, so that nothing is laid out or read aloud twice.
export function put(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

// Digits in threes, and a number kept on one line with its unit.
export function bound(text) {
  return text.replace(/(\d) (?=\d{3})/g, "$1\u202f").replace(/(\d) (?=(?:N|kN|mm|turn|s)\b)/g, "$1\u00a0");
}

export function force(N) {
  if (N === null || N === undefined) return "—";
  const whole = String(Math.abs(Math.round(N)));
  return `${Math.round(N) < 0 ? "−" : ""}${whole.length > 3 ? `${whole.slice(0, -3)}\u202f${whole.slice(-3)}` : whole}\u00a0N`;
}

export function turns(value) {
  return value === null || value === undefined ? "—" : `${value.toFixed(2)}\u00a0turn`;
}

export const call_words = {
  "nothing-unusual": "nothing unusual", "look-closer": "look closer", "stop-and-inspect": "stop and inspect", "cant-tell": "can't tell",
};

export const measure_words = { "force": "force", "screw-travel": "screw travel", "ring-travel": "ring travel", "turns": "turns" };
