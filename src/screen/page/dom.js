// Small helpers: elements without markup strings, and SVG shapes.

export const $ = (id) => document.getElementById(id);

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, value);
  }
  for (const child of children.flat(Infinity)) if (child !== null && child !== undefined && child !== false) node.append(child);
  return node;
}

export const el = (tag, attributes, ...children) => fill(document.createElement(tag), attributes, children);
export const svg = (tag, attributes, ...children) => fill(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
export const button = (text, onclick, attributes) => el("button", { type: "button", onclick, ...attributes }, text);

// replaceChildren, which would write "null" for what is left out.
export const fill_with = (node, ...children) => node.replaceChildren(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));

// Sets the text only when it differs, so that nothing is laid out or read aloud twice; in the piece of text that is there, as a new
// one costs several times as much.
export function put(node, text) {
  const only = node.firstChild === node.lastChild && node.firstChild?.nodeType === Node.TEXT_NODE ? node.firstChild : null;
  if ((only ? only.data : node.textContent) === text) return;
  if (only) only.data = text;
  else node.textContent = text;
}

// The same for an attribute; lengths to a tenth of a dot of a drawing.
export function set(node, name, value) {
  const text = typeof value === "number" ? String(Math.round(value * 10) / 10) : value;
  if (node.getAttribute(name) !== text) node.setAttribute(name, text);
}
export const show_if = (node, wanted) => set(node, "visibility", wanted ? "visible" : "hidden");
