// Starting a job: what a mechanic knows, filled in with gloves on; unknown is an answer everywhere.
import { $, el, button, fill_with } from "../dom.js";
import { force } from "../words.js";
import { views } from "../views.js";
import * as plan from "./plan.js";
import { shape_picture, shape_words, access_picture, work_picture } from "../parts/pictures.js";

const kept_as = "halfturn.form";
const most_found = 8;

function remembered() {
  try { return JSON.parse(localStorage.getItem(kept_as)) || {}; } catch { return {}; }
}

function choice(name, title, options, value, kind = "") {
  return el("fieldset", null, el("legend", null, title), el("div", { class: `cards ${kind}` }, options.map(([id, words, picture]) => {
    const input = el("input", { type: "radio", name, value: id, id: `${name}-${id}`, checked: id === value });
    return el("div", { class: "card" }, input, el("label", { for: `${name}-${id}` }, picture ?? null, words));
  })));
}

function text(name, title, value, more) {
  return el("div", null, el("label", { class: "label", for: `f-${name}` }, title), el("input", { type: "text", id: `f-${name}`, name, value: value || "", autocomplete: "off", maxlength: 120, ...more }));
}

function filled(form) {
  const values = {};
  for (const [name, value] of new FormData(form)) values[name] = String(value);
  return values;
}

export class StartPage {
  constructor(act, post) {
    this.act = act;
    this.post = post;
    this.box = $("start");
    this.choices = null;
  }

  async show(state) {
    if (!this.choices) {
      const answer = await fetch("/data/choices", { cache: "no-store" }).catch(() => null);
      if (!answer || !answer.ok) return;   // `watch --screen`: jobs are started in the terminal
      this.choices = await answer.json();
    }
    if (!this.box.firstChild) await this.look_for_next();
    if (this.box.hidden) return;   // a job has begun meanwhile
    if (this.problem !== state.problem || !this.box.firstChild) {
      this.problem = state.problem;
      this.build(state.problem);
    }
  }

  // The next seat of the set that is under way, with its form filled in as far as it is known.
  async look_for_next() {
    const answer = await fetch("/data/set", { cache: "no-store" }).catch(() => null);
    this.set = answer?.ok ? await answer.json() : null;
  }

  // Called when another page is shown, so that the next start is fresh but for what is remembered.
  leave() { this.box.replaceChildren(); }

  build(problem) {
    const next = this.set?.next, old = next || remembered();
    const rows = [el("h1", null, next ? `Next of the set: ${[next.item, next.seat].filter(Boolean).join(" · ")}` : "New job")];
    if (next) rows.push(el("p", null, `${this.set.set}. Check each answer: what was measured on the last seat is left empty, and this one may be got at another way.`),
      el("div", { class: "actions" }, button("Another job instead", () => { this.set = null; this.build(problem); })));
    if (problem) rows.push(el("p", { class: "bad", role: "alert" }, problem));
    rows.push(this.choices.rig ? this.form(old) : el("p", { class: "quiet" }, "This bench runs without a rig file, so only practice jobs can be started."));
    rows.push(this.practice());
    rows.push(el("nav", { class: "actions", "aria-label": "More" }, el("a", { class: "press", href: "/review" }, "Recorded jobs"), views.map((view) => el("a", { class: "press", href: `#${view.name}` }, view.title))));
    this.box.replaceChildren(...rows);
  }

  form(old) {
    const materials = el("select", { name: "material", id: "f-material" }, ["unknown", ...this.choices.materials].map((m) => el("option", { value: m, selected: m === (old.material || "unknown") }, m)));
    const form = el("form", { class: "rows", novalidate: true, onsubmit: (event) => { event.preventDefault(); this.start(form); }, oninput: () => $("family-says").replaceChildren() },
      old.designation && !this.set?.next ? el("div", { class: "actions" }, button(`Same again: ${old.designation} ${old.work}${old.item ? ", " + old.item : ""}`, () => this.start(form), { class: "main grow" })) : null,
      choice("work", "Out or in", [["out", "out", work_picture("out")], ["in", "in", work_picture("in")]], old.work || "out", "wide"),
      this.bearing(old),
      choice("access", "How the drift gets at it", [["through", "straight through", access_picture("through")], ["past-spacer", "past a spacer", access_picture("past-spacer")], ["unknown", "unknown"]], old.access || "unknown", "three"),
      choice("shape", "The housing around the seat", Object.entries(shape_words).map(([id, words]) => [id, words, shape_picture(id)]), old.shape || "unknown", "pictures"),
      el("div", { class: "two" },
        el("div", null, el("label", { class: "label", for: "f-material" }, "Housing material"), materials),
        text("outside_diameter_mm", "Housing outside diameter, mm", old.outside_diameter_mm, { inputmode: "decimal", placeholder: "unknown" })),
      choice("surface", "The seat is", ["dry", "oiled", "bonded", "corroded", "unknown"].map((s) => [s, s]), old.surface || "unknown", "five"),
      el("div", { class: "two" }, text("who", "Who", old.who, { placeholder: "your name" }), text("item", "Item", old.item, { placeholder: "castor fork 17" }), text("seat", "Which seat in it", old.seat, { placeholder: "upper" }), text("set", "Set: jobs that belong together", old.set, { placeholder: "spring service" }), text("seats", "Seats of the set, in order", old.seats, { placeholder: "upper, lower", maxlength: 1000 })),
      this.family(old),
      el("details", null, el("summary", null, "Measured sizes, if you have them"), el("div", { class: "two" },
        text("class", "Bore's tolerance class", old.class, { placeholder: "N7, or unknown" }),
        text("bore_mm", "Measured bore, mm", old.bore_mm, { inputmode: "decimal", placeholder: "unknown" }),
        text("outside_mm", "Measured outer ring, mm", old.outside_mm, { inputmode: "decimal", placeholder: "unknown" }),
        text("temperature_C", "Housing temperature, °C", old.temperature_C, { inputmode: "decimal", placeholder: "unknown" }),
        text("reach_mm", "Radius at which the drift pushes, mm", old.reach_mm, { inputmode: "decimal", placeholder: "unknown" }))),
      el("div", { class: "actions" }, el("button", { type: "submit", class: "main grow" }, "Go on: before you pull"),
        this.choices.inventory ? button("Look at the plan", async () => plan.open(await plan.ask(this.post, filled(form))), { id: "look-at-plan" }) : null));
    return form;
  }

  bearing(old) {
    const found = el("ul", { class: "found", "aria-label": "Bearings found" });
    const input = el("input", { type: "text", id: "f-designation", name: "designation", value: old.designation || "", autocomplete: "off", inputmode: "search", maxlength: 40, placeholder: "61902, or a size such as 15x28" });
    const look = () => {
      const wanted = input.value.toLowerCase().replaceAll(/[\s×*]/g, (c) => (c.trim() ? "x" : ""));
      const fits = (b) => `${b.designation} ${b.also}`.toLowerCase().includes(wanted) || (b.also && wanted.startsWith(b.also.toLowerCase())) || wanted.startsWith(b.designation) || `${b.d_mm}x${b.D_mm}x${b.B_mm}`.startsWith(wanted);
      const rows = wanted ? this.choices.bearings.filter(fits).slice(0, most_found) : [];
      found.replaceChildren(...rows.map((b) => el("li", null, button([`${b.designation}${b.also ? " / " + b.also : ""}`, el("br"), `${b.d_mm}\u00a0×\u00a0${b.D_mm}\u00a0×\u00a0${b.B_mm}\u00a0mm`], () => { input.value = b.designation; found.replaceChildren(); }))));
    };
    input.addEventListener("input", look);
    return el("div", null, el("label", { class: "label", for: "f-designation" }, "Bearing number"), input, found);
  }

  // Whether earlier jobs may narrow the expected force, and what they say, before anybody lets them.
  family(old) {
    const said = el("div", { role: "status", id: "family-says" });
    const look = button("What do they say?", async () => {
      fill_with(said, el("p", null, "Reading the earlier jobs…"));
      const answer = await this.post("/data/family", JSON.stringify(filled(look.form)));
      if (!answer.ok) return fill_with(said, el("p", { class: "bad" }, answer.text));
      const f = JSON.parse(answer.text), span = (band) => `${force(band.low)} to ${force(band.high)}`, jobs = `${f.jobs} earlier ${f.jobs === 1 ? "job" : "jobs"}`;
      fill_with(said,
        el("p", null, f.jobs === 0 ? `There are no earlier jobs of ${f.name} yet.` : f.used === 0 ? `Of ${jobs} of ${f.name}, none counts, so nothing changes.` : `Of ${jobs} of ${f.name}, ${f.used === f.jobs ? "all count" : `${f.used} count`}.`),
        f.used === 0 ? null : el("p", null, `Force expected without them ${span(f.prior)}, with them ${span(f.posterior)}.`),
        f.left_out.length ? el("details", null, el("summary", null, `Left out: ${f.left_out.length}`), el("ul", { class: "plain" }, f.left_out.map((one) => el("li", null, `Job ${one.number}: ${one.because}`)))) : null);
    }, { id: "look-at-family" });
    return el("div", { class: "rows" },
      choice("family", "May earlier jobs of the same bearing, housing and seat class narrow the expected force?", [["no", "no"], ["yes", "yes"]], old.family || (this.choices.family ? "yes" : "no")),
      el("div", { class: "actions" }, look), said);
  }

  start(form) {
    const values = filled(form);
    try { localStorage.setItem(kept_as, JSON.stringify(values)); } catch { /* private window: nothing is remembered */ }
    this.act("start", { form: values });
  }

  practice() {
    const jobs = this.choices.practice;
    if (!jobs.length) return el("p", { class: "quiet" }, "The practice rig is not installed beside this program.");
    return el("details", { open: !this.choices.rig }, el("summary", null, "Practice: learn what each warning feels like"),
      el("ul", { class: "found" }, jobs.map((job) => el("li", null, button("", () => this.act("practice", { text: job.name }), { "data-practice": job.name })))
        .map((item, i) => { item.firstChild.append(el("strong", null, jobs[i].name.replaceAll("-", " ")), ` (${jobs[i].work}) — ${jobs[i].what}`); return item; })));
  }
}
