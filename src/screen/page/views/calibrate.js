// Calibrating the rig at the bench: which series, then one step after the other with numbers large enough for a metre away.
import { $, el, button, fill_with, put } from "../dom.js";
import { bound, force, measure_words } from "../words.js";
import * as sounds from "../sounds.js";

const kinds = [["daily", "Daily check: zero, block, a small pull"], ["force", "Load cell against a reference"], ["stiffness", "Blocked pull: the press's stiffness"], ["pitch", "Turn counter against the caliper"], ["travel", "Caliper on gauge blocks"],
  ["lag", "Quick steps: how late each instrument is"], ["eccentric", "Load cell pulled beside its axis"], ["side-load", "Load cell pushed from the side"], ["torsion", "Load cell under the screw's torque"]];
const title = (kind) => kinds.find(([id]) => id === kind)[1];

const counted = (count) => `${count} reading${count === 1 ? "" : "s"}`;
const with_unit = (value, unit) => (value === null ? "—" : unit === "N" ? force(value) : `${value.toFixed(unit === "turn" ? 2 : 3).replace("-", "−")} ${unit}`);
const field = (name, words, value, more) => el("div", { "data-of": more.of }, el("label", { class: "label", for: `series-${name}` }, words),
  el("input", { type: "text", id: `series-${name}`, name, value, autocomplete: "off", maxlength: 120, ...more }));
const card = (name, id, words, checked, kind = "radio") => el("div", { class: "card" }, el("input", { type: kind, name, value: id, id: `${name}-${id}`, checked }), el("label", { for: `${name}-${id}` }, words));

// Which series, and how far it goes.
export class View {
  constructor(box, act) { Object.assign(this, { box, act }); }

  show() {
    const form = el("form", { class: "rows", novalidate: true, onchange: () => this.fit(form), onsubmit: (event) => {
      event.preventDefault();
      const { block_mm, blocks_mm, rounds, runs, ...asked } = Object.fromEntries([...new FormData(form)].map(([name, value]) => [name, String(value)]));
      this.act("calibrate", { form: { ...asked, runs: asked.kind === "force" ? runs : rounds, blocks_mm: asked.kind === "daily" ? block_mm : blocks_mm } });
    } },
      el("fieldset", null, el("legend", null, "Which series"), el("div", { class: "cards wide" }, kinds.map(([id, words]) => card("kind", id, words, id === "daily")))),
      el("fieldset", null, el("legend", null, "With"), el("div", { class: "cards wide" }, card("practice", "no", "this bench's instruments", true), card("practice", "yes", "the practice rig, its reference cell and its block"))),
      el("div", { class: "two" },
        field("capacity_N", "Highest force of the series, N", "2000", { inputmode: "decimal", of: "daily force stiffness lag eccentric side-load torsion" }),
        field("points", "Points of a run", "10", { inputmode: "numeric", of: "force stiffness pitch" }),
        field("runs", "Runs up", "3", { inputmode: "numeric", of: "force" }),
        field("steady_s", "A reading must be steady for, s", "3", { inputmode: "decimal", of: "daily force stiffness pitch travel lag eccentric side-load torsion" }),
        field("jerks", "Quick steps, up and down by turns", "6", { inputmode: "numeric", of: "lag" }),
        field("offset_mm", "How far beside the axis, mm (a drift's reach)", "12", { inputmode: "decimal", of: "eccentric" }),
        field("side_N", "Push from the side, N", "100", { inputmode: "decimal", of: "side-load" }),
        field("torque_Nm", "Torque, Nm, both ways", "3", { inputmode: "decimal", of: "torsion" }),
        field("angles", "Places all round", "4", { inputmode: "numeric", of: "eccentric side-load" }),
        field("rounds", "Rounds", "2", { inputmode: "numeric", of: "eccentric side-load torsion" }),
        field("turns", "Turns to make", "20", { inputmode: "decimal", of: "pitch" }),
        field("block_mm", "Length of the known block, mm; empty: none", "", { inputmode: "decimal", of: "daily" }),
        field("blocks_mm", "Lengths of the blocks, mm, with blanks between", "0 10 25 50", { of: "travel" })),
      el("ul", { class: "plain" }, ["Wear eye protection; a loaded stack stores energy.", "Load slowly, hands clear, never beyond the rated load of the weakest part.", "Local rules and the part maker's word come first."].map((line) => el("li", null, line))),
      el("div", { class: "actions" }, el("button", { type: "submit", class: "main grow", id: "start-series" }, "Begin"), el("a", { class: "press", href: "#" }, "Back")));
    this.bad = el("p", { class: "bad", role: "alert", hidden: true });
    fill_with(this.box, el("h1", { tabindex: "-1" }, "Calibrate"), this.bad, form);
    this.fit(form);
    this.box.querySelector("h1").focus();
  }

  fit(form) {
    for (const one of form.querySelectorAll("[data-of]")) one.hidden = !one.dataset.of.split(" ").includes(form.elements.kind.value);
  }

  // Why the series was not begun.
  told(problem) {
    put(this.bad, problem || "");
    this.bad.hidden = !problem;
    if (problem) this.bad.scrollIntoView({ block: "nearest" });
  }

  leave() { this.box.replaceChildren(); }
}

// The series under way.
export class SeriesPage {
  constructor(act) {
    this.act = act;
    this.box = $("series");
    this.built = null;
  }

  leave() {
    this.built = null;
    this.box.replaceChildren();
  }

  show(state) {
    const built = state.at === "over" ? `over ${state.result} ${state.remark}` : `steps ${state.at === "reference"}`;
    if (this.built !== built) {
      this.built = built;
      this.kept = state.kept;
      if (state.at === "over") this.build_end(state);
      else this.build(state);
    }
    if (state.at === "over") return;
    if (state.kept > this.kept) sounds.once("kept");
    this.kept = state.kept;
    this.update(state);
  }

  build(state) {
    this.progress = el("progress", { max: state.of, "aria-label": "Steps done" });
    this.head = el("p", { class: "head" });
    this.say = el("p", { class: "task", "aria-live": "polite" });
    this.target = el("strong");
    this.target_name = el("span");
    this.numbers = state.instruments.map(() => ({ name: el("span"), value: el("strong"), steady: el("span", { class: "steady" }) }));
    this.remark = el("p", { class: "remark", "aria-live": "assertive" });
    this.hold = button("", () => this.act("hold"), { class: "main hold-still", id: "hold-still" });
    const reference = el("input", { type: "text", id: "reference", inputmode: "decimal", autocomplete: "off", maxlength: 20 });
    const asks = state.at === "reference";
    fill_with(this.box, el("header", null, el("h1", null, state.practice ? el("span", { class: "practice" }, "practice") : "", ` ${title(state.kind)}`), this.head, this.progress), this.say,
      el("div", { class: "numbers" }, el("p", { class: "number" }, this.target_name, this.target, el("span", { class: "steady" }, "\u00a0")),
        this.numbers.map((n) => el("p", { class: "number" }, n.name, n.value, n.steady))), this.remark,
      asks ? el("form", { class: "actions", onsubmit: (event) => { event.preventDefault(); this.act("reference", { text: reference.value }); } },
        el("label", { for: "reference", class: "label" }, "The reference reads, N"), reference, el("button", { type: "submit", class: "main", id: "keep-reference" }, "Keep")) : this.hold,
      el("div", { class: "actions" }, button("Skip this step", () => this.act("skip"), { id: "skip-step" }), button("End the series", () => this.act("end"), { id: "end-series" })));
    if (asks) reference.focus();
  }

  update(state) {
    this.box.dataset.over = state.over_limit;
    put(this.head, `Step ${state.number} of ${state.of}, ${counted(state.kept)} kept`);
    this.progress.value = state.number - 1;
    put(this.say, bound(state.say));
    const jerks = state.kind === "lag" && state.keep;
    put(this.target_name, jerks ? "at the word, to" : "bring it to");
    put(this.target, state.target === 0 && state.unit === "N" ? "loose" : with_unit(state.target, state.unit));
    state.instruments.forEach((one, i) => {
      const n = this.numbers[i];
      put(n.name, one.name === measure_words[one.measures] ? one.name : `${one.name}: ${measure_words[one.measures]}`);
      put(n.value, with_unit(one.value, one.unit));
      put(n.steady, one.trouble || (state.at !== "waiting" ? "\u00a0" : one.steady ? "steady ✓" : "settling …"));
    });
    put(this.remark, state.over_limit ? `Above the rig's limit of ${force(state.limit_N)}. Back the screw off.` : bound(state.remark));
    const waiting = state.at === "waiting";
    if (state.now && !this.now) sounds.once("now");
    this.now = state.now;
    this.box.dataset.now = state.now;
    put(this.hold, state.now ? "NOW: one quick turn" : waiting ? "Hold still …" : jerks ? "I hold still: say now" : state.keep ? "I hold still: read now" : "Done: go on");
    this.hold.disabled = waiting;
  }

  build_end(state) {
    const heading = el("h1", { tabindex: "-1" }, state.kept ? "All readings kept" : "No readings were kept");
    this.box.dataset.over = false;
    fill_with(this.box, el("p", null, state.practice ? el("span", { class: "practice" }, "practice") : "", ` ${title(state.kind)}`), heading,
      state.remark ? el("p", { class: "bad" }, state.remark) : null,
      state.result ? el("pre", { class: "step", tabindex: "0", "aria-label": "What the readings say" }, state.result) : null,
      state.kept ? el("p", null, `${counted(state.kept)} ${state.kept === 1 ? "is" : "are"} in ${state.file}.${state.kind === "daily" ? "" : ` halfturn calibrate ${state.kind} with that file keeps a certificate.`}`) : null,
      el("div", { class: "actions" }, button("Back to the start", () => this.act("next"), { class: "main grow", id: "next-job" })));
    heading.focus();
  }
}
