// Jobs laid over one another: the curves, and what each differs by from the first, with the doubt.
import { $, el, button, fill_with } from "../dom.js";
import { bound, force } from "../words.js";
import { Lines } from "../parts/lines.js";
import { ask, call_badge, fixed, job_link, seat_words, section, started, table, work_words } from "./ask.js";
import { AskingPage } from "./asking_page.js";

const colours = ["--line-1", "--line-2", "--line-3", "--line-4", "--line-5", "--line-6"];
const dashes = [null, [10, 5], [2, 4], [14, 4, 2, 4], [6, 3], [18, 6]];
const style = (i) => ({ colour: colours[i % colours.length], dash: dashes[i % dashes.length], width: i ? 2.5 : 3.5 });
const numbers = (text) => [...new Set((text.match(/\d+/g) || []).map(Number))].filter((n) => n > 0).slice(0, 12);

export class View extends AskingPage {
  go() {
    const jobs = numbers($("compare-jobs").value), align = this.box.querySelector("input[name=align]:checked").value;
    const hash = `#compare?jobs=${jobs.join(",")}&align=${align}`;
    if (hash === location.hash) return;
    location.hash = hash;
  }

  form(jobs, align) {
    const radio = (value, words) => el("label", { class: "check" }, el("input", { type: "radio", name: "align", value, checked: value === align, onchange: () => this.go() }), words);
    return el("form", { class: "row", onsubmit: (event) => { event.preventDefault(); this.go(); } },
      el("div", { class: "field" }, el("label", { class: "label", for: "compare-jobs" }, "Jobs to compare"), el("input", { id: "compare-jobs", value: jobs.join(", "), inputmode: "numeric", autocomplete: "off", placeholder: "17, 23, 31" })),
      el("fieldset", null, el("legend", null, "Laid together at"), el("div", { class: "row" }, radio("contact", "contact"), radio("release", "release"))),
      el("button", { type: "submit" }, "Compare"));
  }

  async show(place) {
    this.leave();
    const mine = ++this.asked, jobs = numbers(place.query.get("jobs") || ""), align = place.query.get("align") === "release" ? "release" : "contact";
    document.title = "Compare – halfturn";
    const result = el("div", { class: "rows" });
    const had = document.activeElement?.id || document.activeElement?.value;
    fill_with(this.box, el("h1", { tabindex: "-1" }, "Jobs laid over one another"), this.form(jobs, align), result);
    (this.box.querySelector(had ? `#${CSS.escape(had)}, input[name=align][value="${CSS.escape(had)}"]` : "h1") || this.box.querySelector("h1")).focus({ preventScroll: true });
    if (jobs.length < 2) return fill_with(result, el("p", { class: "quiet" }, "Pick two jobs or more in the list, or type their numbers here."));
    fill_with(result, el("p", { role: "status" }, "Reading the curves…"));
    let c;
    try {
      c = await ask("compare", new URLSearchParams({ jobs: jobs.join(","), align }));
    } catch (problem) {
      if (mine === this.asked) fill_with(result, el("p", { class: "bad", role: "alert" }, problem.message));
      return;
    }
    if (mine === this.asked) this.draw(result, c);
  }

  draw(result, c) {
    const curves = el("div", { class: "plot", role: "img", "aria-label": "The curves over one another; the table below says where they differ" });
    const apart = el("div", { class: "plot low", role: "img", "aria-label": "Difference of each job from the first; the table below has the figures" });
    const key = (job, i) => {
      const line = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      line.setAttribute("viewBox", "0 0 40 10");
      line.setAttribute("aria-hidden", "true");
      const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
      path.setAttribute("d", "M0 5H40");
      path.setAttribute("stroke", `var(${style(i).colour})`);
      path.setAttribute("stroke-width", "3");
      if (style(i).dash) path.setAttribute("stroke-dasharray", style(i).dash.join(" "));
      line.append(path);
      return el("li", null, line, job.label);
    };
    const legend = (but = 0) => el("ul", { class: "legend" }, c.jobs.map(key).slice(but));
    const x = `turns from ${c.align}`;
    const two = c.jobs.length === 2;
    fill_with(result,
      section("Force", legend(), curves),
      section(`Difference from ${c.jobs[0].label}`, two ? el("p", { class: "quiet" }, "Shaded: the doubt (95 %). What leaves it differs by more than the instruments and the laying together explain.") : legend(1), apart),
      section("In figures", table("Compared jobs", ["Job", "What", "Call", "Broke loose", "Expected", "Beyond the doubt", "What differs"], c.jobs.map((job, i) => {
        const r = c.records[i];
        return [job_link(r.number), el("span", null, `${work_words(r)}, ${seat_words(r)}, ${started(r.started)}`), call_badge(r.call), force(job.release_N), force(job.expected_N),
          i ? `${fixed(100 * job.share_beyond, 0)} % of the curve` : "—", i ? bound(job.says) : "compared with"];
      }))),
      el("p", { class: "quiet" }, "Differences count from twice their standard uncertainty: noise, least count, what may have been between two readings, and where the curves were laid together."),
      el("div", { class: "actions" }, button("Without the last one", () => { location.hash = `#compare?jobs=${c.records.slice(0, -1).map((r) => r.number).join(",")}&align=${c.align}`; }, { disabled: c.jobs.length < 3 })));
    const forces = new Lines(curves, { x, y_from: 0, y_text: force, lines: c.jobs.map((_, i) => style(i)) });
    forces.show(c.turns, c.jobs.map((job) => job.force_N));
    const differences = new Lines(apart, { x, y_text: force, zero: true, band: two, lines: c.jobs.slice(1).map((_, i) => style(i + 1)) });
    differences.show(c.turns, c.jobs.slice(1).map((job) => job.difference_N), two ? [c.jobs[1].U_N.map((u) => (u === null ? null : -u)), c.jobs[1].U_N] : null);
    this.parts.push(forces, differences);
  }
}
