// Questions to the server, and the words that several review pages share.
import { el } from "../dom.js";
import { call_words } from "../words.js";

// What GET /data/review/… answers; an Error with the server's own words when it refuses.
export async function ask(path, query) {
  const text = query?.toString();
  const answer = await fetch(`/data/review/${path}${text ? `?${text}` : ""}`, { cache: "no-store" }).catch(() => null);
  if (!answer) throw new Error("The program is not running, or this page can't reach it.");
  if (!answer.ok) throw new Error((await answer.text()).trim());
  return answer.json();
}

// A call by its words and its kind of frame; colour only repeats it.
export const call_badge = (call) => el("span", { class: "badge", "data-call": call || "none" }, call ? call_words[call] || call : "not judged");

export const plain = (id) => id.replaceAll("-", " ");
export const started = (text) => text.replace(/:\d\d UTC$/, "");
export const job_link = (number, words) => el("a", { href: `#job/${number}` }, words ?? `Job\u00a0${number}`);
export const seat_words = (job) => [job.item, job.seat].filter(Boolean).join(" · ") || "—";
export const work_words = (job) => `${job.designation || "bearing"} ${job.work}`;
export const fixed = (value, decimals) => (value === null || value === undefined ? "—" : value.toFixed(decimals).replace("-", "−"));

// Rows of a table with a heading for each cell, so that on a narrow screen each row can stand as a card.
export function table(caption, headings, rows, more) {
  return el("div", { class: "scroll" }, el("table", { class: "cards-when-narrow", ...more }, el("caption", { class: "heard-only" }, caption),
    el("thead", null, el("tr", null, headings.map((h) => el("th", { scope: "col" }, h)))),
    el("tbody", null, rows.map((cells) => el("tr", null, cells.map((cell, i) => el("td", { "data-heading": headings[i] }, cell)))))));
}

export const section = (title, ...children) => el("section", { class: "part" }, el("h2", null, title), children);
