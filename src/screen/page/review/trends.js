// Trends: one figure of each job in the order they were done, with the limits that chance keeps to, and where it did not.
import { el, fill_with } from "../dom.js";
import { Lines } from "../parts/lines.js";
import { ask, fixed, job_link, plain, section, started, table } from "./ask.js";
import { AskingPage } from "./asking_page.js";

const by_words = { rig: "rig", family: "family of jobs", who: "person", instrument: "instrument", calibration: "calibration" };

export class View extends AskingPage {
  async show(place) {
    this.leave();
    const mine = ++this.asked;
    document.title = "Trends – halfturn";
    this.fields ??= await ask("trends/fields");
    if (mine !== this.asked) return;
    const wanted = { charted: place.query.get("charted") || this.fields.charted[0].id, by: place.query.get("by") || "rig", work: place.query.get("work") || "out", practice: place.query.get("practice") || "no" };
    const figure = this.fields.charted.find((one) => one.id === wanted.charted);
    if (figure?.work) wanted.work = figure.work;
    const had = document.activeElement?.id;
    const result = el("div", { class: "rows" });
    fill_with(this.box, el("h1", { tabindex: "-1" }, "Trends"), this.form(wanted), result);
    (had && document.getElementById(had) || this.box.querySelector("h1")).focus({ preventScroll: true });
    fill_with(result, el("p", { role: "status" }, "Reading the jobs…"));
    let trend;
    try {
      trend = await ask("trends", new URLSearchParams(wanted));
    } catch (problem) {
      if (mine === this.asked) fill_with(result, el("p", { class: "bad", role: "alert" }, problem.message));
      return;
    }
    if (mine === this.asked) this.draw(result, trend);
  }

  form(wanted) {
    const choose = (name, title, options) => el("div", { class: "field" }, el("label", { class: "label", for: `trend-${name}` }, title),
      el("select", { id: `trend-${name}`, name, onchange: (event) => { location.hash = `#trends?${new URLSearchParams(new FormData(event.target.form))}`; } }, options.map(([value, words]) => el("option", { value, selected: value === wanted[name] }, words))));
    return el("form", { class: "row", onsubmit: (event) => event.preventDefault() },
      choose("charted", "Figure", this.fields.charted.map((one) => [one.id, one.title])),
      choose("by", "A chart for each", this.fields.by.map((id) => [id, by_words[id] || plain(id)])),
      choose("work", "Bearings", [["out", "taken out"], ["in", "put in"]]),
      choose("practice", "Jobs", [["no", "of the bench"], ["yes", "practice"]]));
  }

  draw(result, trend) {
    const after = [];
    fill_with(result,
      trend.charts.length ? trend.charts.map((one) => this.chart(trend, one, after)) : el("p", null, "No job has this figure yet."),
      trend.left_out.length ? el("details", null, el("summary", null, `${trend.left_out.length} jobs are left out, and why`), table("Left out", ["Job", "Because"], trend.left_out.map((one) => [job_link(one.number), one.because]))) : null,
      trend.passed_over ? el("p", { class: "quiet" }, trend.practice ? `${trend.passed_over} jobs that are no practice are not charted here.` : `${trend.passed_over} practice jobs are not charted.`) : null,
      el("p", { class: "quiet" }, "The limits are what chance keeps to when nothing changed. Outside them, or in a run, look for what changed at that job."));
    for (const then of after) then();
  }

  chart(trend, one, after) {
    const unit = trend.unit ? ` ${trend.unit}` : "", l = one.limits, text = (v) => `${+v.toPrecision(3)}${unit}`;
    const box = el("div", { class: "plot low", role: "img", "aria-label": `${trend.title} of ${one.points.length} jobs; the tables have the figures` });
    const at = one.points.map((_, i) => i + 1), level = (v) => at.map(() => v);
    after.push(() => {
      const lines = [{ colour: "--bar", width: 2, dots: 7 }, { colour: "--limit", width: 0, dots: 14, ring: true }];
      const columns = [one.points.map((p) => p.value), one.points.map((p) => (p.signals.length ? p.value : null))];
      if (l.known) {
        lines.push({ colour: "--band-line", width: 2 }, { colour: "--ink", width: 2, dash: [8, 5] }, { colour: "--ink", width: 2, dash: [8, 5] });
        columns.push(level(l.centre), level(l.low), level(l.high));
      }
      const plot = new Lines(box, { x: "jobs, the oldest first", y_text: text, whole_x: true, close_up: true, lines });
      plot.show(at, columns);
      this.parts.push(plot);
    });
    const c = one.capability;
    return section(one.group || "not named", box,
      el("p", null, l.known ? `Middle ${text(l.centre)}, limits ${text(l.low)} to ${text(l.high)}, from ${l.jobs} jobs${l.provisional ? "; provisional, as they are few" : ""}.` : l.why_not),
      one.signals.length
        ? [el("p", { class: "wrong" }, one.signals.length === 1 ? "One sign that something changed:" : `${one.signals.length} signs that something changed:`),
          table("Signs", ["At", "From", "What"], one.signals.map((s) => [job_link(s.seen), s.from === s.seen ? "—" : job_link(s.from), s.says]))]
        : l.known ? el("p", { class: "good" }, "No sign that anything changed.") : null,
      c ? el("p", { class: "quiet" }, `Against the limits ${c.limits} (${c.low === null ? "none" : text(c.low)} to ${c.high === null ? "none" : text(c.high)}): Cpk ${fixed(c.cpk, 2)}, with ${c.jobs} jobs between ${fixed(c.cpk_low, 2)} and ${fixed(c.cpk_high, 2)}.${c.in_order ? "" : l.known ? " As long as something keeps changing, this says little." : " With so few jobs, this says little."}`) : null,
      el("details", null, el("summary", null, "Every job of it"), table("Jobs", ["Job", "Started, UTC", trend.title, "Before it"], one.points.map((p) => [job_link(p.number), started(p.started), text(p.value), p.gap ? `a gap: ${p.gap}` : "—"]))));
  }
}
