// The end of a job: the call, why, what to look at; then what was found at the seat, and on to the next of the set.
import { $, el, button, fill_with } from "../dom.js";
import { bound, call_words, force, job_title, phase_words, turns } from "../words.js";
import { found_form } from "../parts/found_form.js";
import { open as open_curve } from "./curve.js";

const list = (lines) => el("ul", { class: "plain" }, lines.map((line) => el("li", null, bound(line))));

const seat_words = (one) => [one.item, one.seat].filter(Boolean).join(" · ") || "no seat named";

export class EndPage {
  constructor(act, post) {
    this.act = act;
    this.post = post;
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
      ["Highest force", force(j.peak_N)], ["Expected", band ? `${force(band.low)} to ${force(band.high)}` : "not known"], ["The ring", phase_words[j.phase]], ["The job", state.ending]];
    const look = [...new Set(j.warnings.flatMap((w) => w.inspect))];
    if (!look.length) look.push("the seat: clean, no scoring, no fretting marks", "the bearing's outer ring: even marks all the way round");
    const heading = el("h1", { class: "call", "data-call": j.call, tabindex: "-1" }, call_words[j.call]);
    this.after = el("div", { class: "rows" });
    fill_with(this.box,
      el("p", null, state.job.practice ? el("span", { class: "practice" }, "practice") : "", ` ${job_title(state.job)}`), heading,
      state.recorded ? null : el("p", { class: "bad" }, state.record_problem ? `The record is not complete: ${state.record_problem}` : "The record is being closed."),
      el("div", { class: "two" },
        el("section", null, el("h2", null, "Why"), list(j.warnings.length ? j.warnings.map((w) => w.says) : ["Nothing out of the ordinary was seen."])),
        el("section", null, el("h2", null, j.warnings.length ? "Look at" : "Look at the seat"), list(look))),
      el("table", null, el("tbody", null, rows.map(([name, value]) => el("tr", null, el("th", { scope: "row" }, name), el("td", { class: "number" }, value))))),
      j.cannot_judge.length ? el("details", null, el("summary", null, "What these instruments can't judge"), list(j.cannot_judge)) : null,
      el("div", { class: "actions" }, button("Curve", open_curve)),
      this.after,
      el("p", { class: "quiet" }, `Job ${state.job.id}. The tool advises; you and your shop's rules decide.`));
    heading.focus();
    if (state.recorded) this.go_on(state, version);
  }

  // What comes after the call, at a bench that goes on; `watch --screen` ends here.
  async go_on(state, version) {
    const so_far = await this.set_so_far();
    if (this.job !== version) return;
    if (!so_far) return fill_with(this.after, el("p", null, `What was found at the seat: halfturn inspect ${state.job.id} keeps it.`));
    const set = el("section", { class: "rows set" });
    const show_set = (newest) => newest && this.job === version && fill_with(set, state.job.practice ? [] : this.set(newest));
    fill_with(this.after,
      el("section", { class: "step", "aria-labelledby": "found-title" }, el("h2", { id: "found-title" }, "What you found"),
        found_form(state.job, this.post, async () => show_set(await this.set_so_far()))),
      set,
      el("div", { class: "actions" }, button(this.next_words(state, so_far), () => this.act("next"), { class: "main grow", id: "next-job" })));
    show_set(so_far);
  }

  async set_so_far() {
    const answer = await fetch("/data/set", { cache: "no-store" }).catch(() => null);
    return answer?.ok ? answer.json() : null;
  }

  next_words(state, { next }) {
    return next && !state.job.practice ? `Next of the set: ${seat_words(next)}` : "Next job";
  }

  set({ set, next, jobs, of }) {
    const done = jobs.map((one) => el("tr", null, el("th", { scope: "row" }, seat_words(one)), el("td", null, one.work), el("td", null, call_words[one.call]), el("td", null, one.decision || "no decision yet")));
    return [jobs.length ? el("h2", null, `The set: ${set}`) : null, jobs.length ? el("table", null, el("tbody", null, done)) : null,
      of && !next ? el("p", null, "Every seat of this set has its job.") : null];
  }
}
