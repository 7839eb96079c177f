// What was found at the seat, filled in with gloves on: cards to touch, few words to type. Kept in the record as it is sent.
//   box.append(found_form(job, post, () => …))   // called when something was kept
import { el, button, put } from "../dom.js";
import { Photo } from "./photo.js";

const seen = ["clean", "scored", "corroded", "cracked"];
const decisions = [["reuse", "use again"], ["rework", "rework"], ["bond", "bond"], ["scrap", "scrap"]];

function cards(kind, name, title, options, changed) {
  return el("fieldset", null, el("legend", null, title), el("div", { class: "cards short" }, options.map(([id, words]) => el("div", { class: "card" },
    el("input", { type: kind, name, value: id, id: `${name}-${id}`, onchange: changed }), el("label", { for: `${name}-${id}` }, words)))));
}

const field = (name, title, more) => el("div", null, el("label", { class: "label", for: `found-${name}` }, title),
  el("input", { type: "text", id: `found-${name}`, name, autocomplete: "off", maxlength: 120, ...more }));

export function found_form(job, post, on_kept) {
  const photo = new Photo(), kept = el("ul", { class: "plain kept", "aria-live": "polite" }), bad = el("p", { class: "bad", role: "alert", hidden: true });
  const keep = el("button", { type: "submit", class: "main grow", id: "keep-found" }, "Keep what was found");
  // A seat is clean, or it is some of the others.
  const one_or_others = (event) => {
    if (!event.target.checked) return;
    for (const input of form.elements.seen) if ((event.target.value === "clean") !== (input.value === "clean")) input.checked = false;
  };

  async function send() {
    const line = { job: job.id, seen: [] };
    for (const [name, value] of new FormData(form)) {
      if (name === "seen") line.seen.push(value);
      else line[name] = value;
    }
    keep.disabled = bad.hidden = true;
    const answer = await post("/data/found", new Blob([JSON.stringify(line), "\n", ...(photo.blob ? [photo.blob] : [])]));
    keep.disabled = false;
    bad.hidden = answer.ok;
    if (!answer.ok) return put(bad, `Not kept: ${answer.text}`);
    kept.append(el("li", null, `Kept: ${JSON.parse(answer.text).words}.`));
    form.reset();
    form.elements.who.value = line.who;
    photo.clear();
    put(keep, "Keep this too");
    on_kept();
    kept.scrollIntoView({ block: "nearest" });
  }

  const form = el("form", { class: "rows", novalidate: true, onsubmit: (event) => { event.preventDefault(); send(); } },
    cards("checkbox", "seen", "The seat is", seen.map((s) => [s, s]), one_or_others),
    cards("radio", "turns_freely", "The bearing turns freely by hand", [["yes", "yes"], ["no", "no"]]),
    cards("radio", "decision", "What becomes of the seat", decisions),
    photo.box,
    el("details", null, el("summary", null, "The bore's size, if it was gauged"), el("div", { class: "two" },
      field("bore_mm", "Bore, mean diameter, mm", { inputmode: "decimal" }), field("bore_u_um", "Its standard uncertainty, µm", { inputmode: "decimal" }), field("gauge", "Measured with"))),
    el("div", null, el("label", { class: "label", for: "found-text" }, "In words"), el("textarea", { id: "found-text", name: "text", rows: 2, maxlength: 1000 })),
    field("who", "Who looked", { value: job.who || "" }),
    el("div", { class: "actions" }, keep), bad, kept);
  return form;
}
