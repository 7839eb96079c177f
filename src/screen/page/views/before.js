// Before you pull: one step at a time, each done or skipped; what was skipped goes into the record.
import { $, el, button, put, fill_with } from "../dom.js";
import { force, job_title, measure_words } from "../words.js";
import * as sounds from "../sounds.js";
import * as plan from "./plan.js";

const moved = { "force": 20, "turns": 0.02, "screw-travel": 0.02, "ring-travel": 0.02 };

function value_words(channel) {
  if (channel.value === null) return "no reading";
  if (channel.measures === "force") return force(channel.value);
  return `${channel.value.toFixed(channel.unit === "mm" ? 2 : 3).replace("-", "−")}\u00a0${channel.unit}`;
}

function table(rows) {
  return el("table", null, el("tbody", null, rows.map(([name, value]) => el("tr", null, el("th", { scope: "row" }, name), value))));
}

export class BeforePage {
  constructor(act, post) {
    this.act = act;
    this.post = post;
    this.box = $("before");
    this.job = null;
  }

  steps() {
    const ticks = (lines) => el("ul", { class: "plain" }, lines.map((line) => el("li", null, line)));
    return [
      { id: "sounds", title: "Hear the sounds", build: () => [
        el("p", null, "Each must be heard here, over the shop's noise and with ear protection on."),
        el("div", { class: "actions" }, [["slower", "slower"], ["look", "look closer"], ["stop", "stop"], ["blind", "not watching"]].map(([id, words]) =>
          button(`▶ ${words}`, async () => { await sounds.wake(); sounds.once(id); }, { "data-sound": id })))] },
      { id: "instruments", title: "Instruments alive", build: () => [this.readings = el("div"), el("p", { class: "quiet" }, "Touch each one: does the right number move?"), this.reach()], update: (s) => this.instruments(s) },
      { id: "cautions", title: "You and the stack", build: () => [ticks([
        "Eye protection on.", "Stand beside the screw's axis, hands clear of the stack: a stretched press lets go with a jolt.",
        "Nothing is loaded beyond its rated load: screw, drift, support, cell.", "Cables are tied to the held end, not to the end you turn.",
        "Your shop's rules and the part maker's instructions come first; this page only advises."]), this.held()] },
      { id: "drift and support", title: "Drift and support", build: () => [ticks([
        "The drift reaches the ring all the way round, and sits square.", "The support stays flat and clear of the bearing.",
        "No retaining ring, screw or clip is left in the seat.", "The screw's thread is clean and turns freely."])] },
      { id: "zero", title: "Zero, with the stack loose", build: () => [
        el("p", null, "Loosen the screw until the stack rattles. Then zero."),
        this.zero_now = el("p", { "aria-live": "polite" }), button("Zero now", () => this.act("zero"), { class: "main", id: "zero-now" })], update: (s) => this.zero(s), done: (s) => s.zeroed },
      { id: "direction", title: "Direction", build: () => [el("p", null, this.state.job.practice ? "The practice hand turns only after the start, so there is nothing to see here." : "Turn a little the way you will turn for the job, no more than snug. Every reading should go up. Then loosen again."), this.moves = el("div")], update: (s) => this.direction(s) },
      { id: "begin", title: "Ready", build: () => [this.summary(), button("Begin", () => this.act("begin"), { class: "main", id: "begin" })] },
    ];
  }

  reach() {
    const { can, cannot } = this.state.job;
    return el("div", { class: "two" },
      el("div", null, el("h3", null, "Can be judged"), el("ul", { class: "plain" }, can.map((t) => el("li", null, t)))),
      cannot.length ? el("div", null, el("h3", null, "Can't be judged"), el("ul", { class: "plain" }, cannot.map((t) => el("li", null, t)))) : null);
  }

  held() {
    const say = (end) => () => this.act("note", { text: `the turning end: ${end}` });
    return el("fieldset", null, el("legend", null, "Which end turns?"), el("div", { class: "cards" }, [["screw", "the screw"], ["nut", "the nut"]].map(([id, words]) =>
      el("div", { class: "card" }, el("input", { type: "radio", name: "turning", id: `turning-${id}`, value: id, onchange: say(words) }), el("label", { for: `turning-${id}` }, words)))));
  }

  summary() {
    const job = this.state.job, band = job.break_loose_N;
    const rows = [["This fit should need", el("td", { class: "number" }, band ? `${force(band.low)} to ${force(band.high)}` : "not known")]];
    if (job.force_limit_N > 0) rows.push(["Never beyond", el("td", { class: "number" }, force(job.force_limit_N))]);
    if (job.fastest_turns_per_s > 0) rows.push(["Turn no faster than", el("td", { class: "number" }, `${job.fastest_turns_per_s.toFixed(2)} turn/s until it breaks loose`)]);
    return el("div", { class: "rows" }, table(rows), el("p", null, "The first half turn: one flat, pause, read. Pauses are normal."),
      job.marks.length ? el("ul", { class: "plain quiet" }, job.marks.map((mark) => el("li", null, mark))) : null,
      this.skipped.size ? el("p", null, `Skipped, and kept in the record: ${[...this.skipped].join(", ")}.`) : null);
  }

  show(state) {
    this.state = state;
    if (this.job !== state.job.id) {
      this.job = state.job.id;
      this.skipped = new Set();
      this.at = 0;
      this.list = this.steps();
      this.planned = undefined;   // asked for
      fill_with(this.box, el("h1", null, this.state.job.work === "in" ? "Before you press" : "Before you pull"), el("p", { role: "status" }, "Looking at the plan…"));
      this.look_at_plan();
    }
    if (this.planned !== undefined) this.list[this.at].update?.(state);
  }

  // What the plan says stands above every step; the whole of it is one touch away. The steps wait for it: coming later, it
  // would move the buttons away under a finger.
  async look_at_plan() {
    const job = this.job, found = await plan.ask(this.post);
    if (this.job !== job) return;
    this.planned = found.plan || found.problem ? found : null;
    this.build();
  }

  plan_line() {
    if (!this.planned) return [];
    const answer = this.planned.plan?.answer;
    return [answer === "not-this-way" ? el("p", { class: "bad", role: "alert" }, ["Not this way.", ...plan.reasons(this.planned.plan)].join("\n")) : null,
      el("div", { class: "actions" }, button(this.planned.plan ? `Plan and set-up card: ${this.planned.plan.words}` : "Plan: none", () => plan.open(this.planned), { id: "open-plan" }))];
  }

  leave() { this.job = null; this.box.replaceChildren(); }

  build() {
    const step = this.list[this.at], last = this.at === this.list.length - 1;
    const heading = el("h2", { tabindex: "-1" }, `${this.at + 1} · ${step.title}`);
    this.next = button("Done", () => this.go(1), { class: "main grow", id: "step-done" });
    fill_with(this.box,
      el("h1", null, "Before you pull"),
      el("p", null, this.state.job.practice ? el("span", { class: "practice" }, "practice") : "", ` ${job_title(this.state.job)}`),
      el("div", { class: "rows" }, this.plan_line()),
      el("ol", { class: "progress", "aria-label": `Step ${this.at + 1} of ${this.list.length}` }, this.list.map((s, i) => el("li", { class: i === this.at ? "now" : this.skipped.has(s.id) ? "skipped" : i < this.at ? "done" : "" }))),
      el("section", { class: "step" }, heading, step.build(),
        last ? null : el("div", { class: "actions" }, this.next, button("Skip", () => this.skip(), { id: "step-skip" }))),
      el("div", { class: "actions" }, this.at ? button("Back", () => this.go(-1)) : null, button("Leave this job", () => this.act("end"))));
    step.update?.(this.state);
    if (this.moved_here) heading.focus();
  }

  go(by) {
    const step = this.list[this.at];
    if (by > 0) this.skipped.delete(step.id);
    this.at += by;
    this.start_values = null;
    this.moved_here = true;
    this.build();
  }

  skip() {
    const id = this.list[this.at].id;
    this.act("skipped", { text: id });
    this.skipped.add(id);
    this.at += 1;
    this.start_values = null;
    this.moved_here = true;
    this.build();
  }

  rows(node, cells) {
    if (node.childElementCount === 0) node.replaceChildren(table(cells.map(([name]) => [name, el("td", { class: "number" })])));
    const numbers = node.querySelectorAll("td");
    cells.forEach(([, value], i) => numbers[i] && put(numbers[i], value));
  }

  instruments(state) {
    this.rows(this.readings, state.channels.map((c) => [c.name === measure_words[c.measures] ? c.name : `${c.name}: ${measure_words[c.measures]}`, `${value_words(c)}, ${c.readings_per_s.toFixed(0)} a second`]));
  }

  zero(state) {
    const now = state.channels.map((c) => `${measure_words[c.measures]} ${value_words(c)}`).join(", ");
    put(this.zero_now, state.message || (state.zeroed ? `Zeroed. Now: ${now}.` : `Now: ${now}.`));
    this.next.disabled = !state.zeroed;
  }

  direction(state) {
    this.start_values ??= state.channels.map((c) => c.value);
    this.rows(this.moves, state.channels.map((c, i) => {
      const from = this.start_values[i], by = c.value === null || from === null ? null : c.value - from;
      const words = by === null ? "no reading" : Math.abs(by) < moved[c.measures] ? "has not moved" : by > 0 ? "goes up ✓" : "goes DOWN: set sign = -1 in the rig file";
      return [measure_words[c.measures], words];
    }));
  }
}
