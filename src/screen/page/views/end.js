// The end of a job: the call, why, what to look at, a note, and on to the next.
import { $, el, button, put, fill_with } from "../dom.js";
import { bound, call_words, force, job_title, turns } from "../words.js";
import { open as open_curve } from "./curve.js";

export class EndPage {
  constructor(act) {
    this.act = act;
    this.box = $("end");
    this.job = null;
  }

  leave() { this.job = null; this.box.replaceChildren(); }

  show(state) {
    // The state is published again once the record is closed; the page is built anew then.
    const version = `${state.job.id} ${state.recorded}`;
    if (this.job === version) return;
    this.job = version;
    const j = state.judgement, band = j.expected.break_loose_N;
    const rows = [["Break-loose", j.break_loose ? `${force(j.break_loose.force_N)}, ${turns(j.break_loose.turns_from_contact)} after contact` : "not seen"],
      ["Highest force", force(j.peak_N)], ["Expected", band ? `${force(band.low)} to ${force(band.high)}` : "not known"], ["Ended", `${state.ending}; the ring: ${j.phase}`]];
    const look = [...new Set(j.warnings.flatMap((w) => w.inspect))];
    if (!look.length) look.push("the seat: clean, no scoring, no fretting marks", "the bearing's outer ring: even marks all the way round");
    const heading = el("h1", { class: "call", "data-call": j.call, tabindex: "-1" }, call_words[j.call]);
    this.said = el("p", { "aria-live": "polite" });
    const note = el("textarea", { id: "note", rows: 3, maxlength: 1000 });
    fill_with(this.box,
      el("p", null, state.job.practice ? el("span", { class: "practice" }, "practice") : "", ` ${job_title(state.job)}`), heading,
      state.recorded ? null : el("p", { class: "bad" }, state.record_problem ? `The record is not complete: ${state.record_problem}` : "The record is being closed."),
      el("div", { class: "two" },
        el("section", null, el("h2", null, "Why"), el("ul", { class: "plain" }, j.warnings.length ? j.warnings.map((w) => el("li", null, bound(w.says))) : el("li", null, "Nothing out of the ordinary was seen."))),
        el("section", null, el("h2", null, "Look at"), el("ul", { class: "plain" }, look.map((what) => el("li", null, what))))),
      el("table", null, el("tbody", null, rows.map(([name, value]) => el("tr", null, el("th", { scope: "row" }, name), el("td", { class: "number" }, value))))),
      j.cannot_judge.length ? el("details", null, el("summary", null, "What these instruments can't judge"), el("ul", { class: "plain" }, j.cannot_judge.map((t) => el("li", null, t)))) : null,
      el("div", null, el("label", { class: "label", for: "note" }, "Note for the record"), note,
        el("div", { class: "actions" }, button("Keep the note", () => { if (note.value.trim()) { this.act("note", { text: note.value.trim() }); note.value = ""; put(this.said, "Kept."); } }), this.said)),
      el("div", { class: "actions" }, button("Next job", () => this.act("next"), { class: "main grow", id: "next-job" }), button("Curve", open_curve)),
      el("p", { class: "quiet" }, `Job ${state.job.id}. The tool advises; you and your shop's rules decide.`));
    heading.focus();
  }
}
