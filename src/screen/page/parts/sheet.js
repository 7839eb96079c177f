// A document's blocks (headings, paragraphs, lists, tables, two columns) as elements; a figure is whatever `figure` makes of it.
//   box.append(...sheet_blocks(document.blocks, (drawing) => el("img", …)))
import { el } from "../dom.js";
import { bound } from "../words.js";

const lines = (text) => text.split("\n").map((line) => el("p", null, bound(line)));

function table(block) {
  const titles = block.columns.some((column) => column.title);
  const cell = (tag, text, i, more) => el(tag, { class: block.columns[i].align === "left" ? null : "number", ...more }, bound(text));
  return el("table", null,
    titles ? el("thead", null, el("tr", null, block.columns.map((column, i) => cell("th", column.title, i, { scope: "col" })))) : null,
    el("tbody", null, block.rows.map((row) => el("tr", null, row.map((text, i) => cell(titles || i ? "td" : "th", text, i, titles || i ? null : { scope: "row" }))))));
}

export function sheet_blocks(blocks, figure) {
  return blocks.map((block) => {
    switch (block.block) {
      case "heading": return el("h3", null, block.text);
      case "paragraph": return el("div", { class: `words ${block.kind}` }, lines(block.text));
      case "list": return el(block.numbered ? "ol" : "ul", { class: "plain" }, block.items.map((item) => el("li", null, bound(item))));
      case "table": return table(block);
      case "figure": return el("figure", null, figure(block.drawing), block.caption ? el("figcaption", null, block.caption) : null);
      case "beside": return el("div", { class: "two" }, el("section", { class: "rows" }, sheet_blocks(block.left, figure)), el("section", { class: "rows" }, sheet_blocks(block.right, figure)));
      default: return null;   // a page's end means nothing here
    }
  }).filter(Boolean);
}
