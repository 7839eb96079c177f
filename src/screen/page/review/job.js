// One job, for whoever must decide months later: was the pull clean, is the seat good, can the record be believed.
import { el, fill_with } from "../dom.js";
import { bound, force, phase_words, turns } from "../words.js";
import { Chart } from "../parts/chart.js";
import { Lines } from "../parts/lines.js";
import { ask, call_badge, fixed, job_link, plain, seat_words, section, started, table, work_words } from "./ask.js";
import { AskingPage } from "./asking_page.js";
import { Readings } from "./readings.js";

const facts = (rows) => el("dl", { class: "facts" }, rows.filter(Boolean).map(([name, value]) => [el("dt", null, name), el("dd", null, value)]));
const list = (texts) => el("ul", { class: "plain" }, texts.map((text) => el("li", null, bound(text))));

const agreement = {
  "same": [true, "Judged again just now from the stored bytes: the same to the last bit as on the day."],
  "differs": [false, "Judged again just now, the stored bytes give another result than on the day. Run “halfturn verify” to see what was altered."],
  "new-version": [true, "Judged again just now by a newer judge; what was said on the day stands below."],
  "first": [true, "Nobody had judged these bytes before: the job was cut off or still runs."],
};

function record_part(job) {
  const r = job.record, [good, says] = agreement[job.agreement] || [false, job.agreement];
  return section("Can the record be believed?",
    el("p", { class: good ? "good" : "wrong" }, says),
    facts([["Job", el("span", { class: "hash" }, r.job)], ["Fingerprint", el("span", { class: "hash" }, job.fingerprint)], ["Judge", job.judge],
      ["Head of the store", el("span", { class: "hash" }, job.head)],
      ["Clock", r.clock_synchronised === null ? "not known whether it was set by a time server" : r.clock_synchronised ? "set by a time server" : "not set by a time server: the time may be off"],
      ["Recorded", `${r.origin === "log" ? "from a log" : "live"} by version ${r.program}; ${r.events} events over ${fixed(r.length_s, 1)} s; ${plain(r.state)}${r.ending ? `: ${r.ending}` : ""}`]]),
    job.judgements.length ? table("Judgements on record", ["Made, UTC", "Judge", "Call and fingerprint"], job.judgements.map((j) => [started(j.made), j.judge, el("span", null, call_badge(j.call), el("span", { class: "under hash" }, j.fingerprint))])) : null,
    el("p", { class: "quiet" }, "A change shows only against a head that was kept elsewhere, on a report or a certificate: “halfturn verify --head HASH” checks against it."));
}

function finding(found, mark) {
  const rates = found.rates;
  return el("div", { class: "finding" },
    el("h3", null, mark ? el("span", { class: "number-mark" }, String(mark)) : null, found.title, el("span", { class: "tag" }, found.strength)),
    el("p", null, bound(found.says)),
    found.look_at.length ? el("p", { class: "quiet" }, `Look at: ${found.look_at.join("; ")}.`) : null,
    rates ? el("p", { class: "quiet" }, `On ${rates.on}: said of ${(100 * rates.false_alarm_rate).toFixed(0)} % of those without it, missed in ${(100 * rates.miss_rate).toFixed(0)} % of those with it.`) : null);
}

function curve_part(job, view) {
  const box = el("div", { class: "plot", role: "img", "aria-label": `Force against turns, highest ${force(job.peak_N)}, with the expected band` });
  const places = job.finding_places.map((place, i) => ({ ...place, label: String(i + 1) }));
  const mark_of = (id) => places.find((place) => place.id === id)?.label;
  const band = job.expected.break_loose_N;
  if (job.drawn.points.length) view.after.push(() => { const chart = new Chart(box); chart.show({ ...job.drawn, marks: places }); view.parts.push(chart); });
  return [section("The pull",
    job.drawn.points.length ? box : el("p", null, "No readings were recorded."),
    facts([["Broke loose", job.break_loose ? `${force(job.break_loose.force_N)} (at most ${force(job.break_loose.force_bound_N)}), ${turns(job.break_loose.turns_from_contact)} after contact` : "not seen"],
      ["Highest force", force(job.peak_N)], ["Expected", band ? `${force(band.low)} to ${force(band.high)}, most likely ${force(band.mid)}` : "not known"], ["The ring at the end", phase_words[job.phase]]]),
    job.reasons.length && !job.warnings.length ? list(job.reasons) : null),
  section("What the curve says of the seat",
    job.findings.length ? job.findings.map((found) => finding(found, mark_of(found.id))) : el("p", null, "Nothing that can be named."),
    places.length ? el("p", { class: "quiet" }, "The numbers stand on the curve where each was seen.") : null,
    job.cannot_find.length ? el("details", null, el("summary", null, "What can't be told, and why"), list(job.cannot_find.map((one) => `${plain(one.id)}: ${one.because}`))) : null)];
}

function profile_part(job, view) {
  const p = job.profile;
  if (!p.known) return section("Grip along the seat", el("p", null, p.why_not));
  if (p.hidden) return section("Grip along the seat", el("p", null, bound(p.says)));
  const box = el("div", { class: "plot low", role: "img", "aria-label": `Grip along the depth of the seat: ${p.says}` });
  view.after.push(() => {
    const lines = new Lines(box, { x: "mm from the mouth", y_from: 0, y_text: (v) => `${+v.toFixed(2)}×`, band: true, lines: [{ colour: "--bar", width: 3 }] });
    lines.show(p.grip.map((g) => g.depth_mm), [p.grip.map((g) => g.relative)], [p.grip.map((g) => g.low), p.grip.map((g) => g.high)]);
    view.parts.push(lines);
  });
  return section("Grip along the seat", el("p", null, bound(p.says)), box,
    el("p", { class: "quiet" }, `Grip over its mean, from the mouth inwards; shaded: 95 %. Finest detail shown ${fixed(p.resolved_mm, 1)} mm, of the instruments ${fixed(p.instruments_resolve_mm, 1)} mm.${p.unseen_at_release_mm > 0.05 ? ` The first ${fixed(p.unseen_at_release_mm, 1)} mm passed in the jump at release.` : ""}`),
    p.compared ? el("p", null, `Against ${p.compared.with}: ${p.compared.says}`) : null);
}

function fit_part(job) {
  const f = job.fit_read_backwards, band = (b, decimals, unit) => `${fixed(b.low, decimals)} to ${fixed(b.high, decimals)}${unit} (before the pull: ${fixed(b.before.low, decimals)} to ${fixed(b.before.high, decimals)}${unit})`;
  const history = job.grip_history;
  return section("The fit, read backwards",
    el("p", null, bound(f.known ? f.says : f.why_not)),
    f.known ? facts([["Interference, 95 %", band({ ...f.interference_um, before: f.interference_before_um }, 1, " µm")], ["Friction, 95 %", band({ ...f.friction, before: f.friction_before }, 3, "")],
      f.break_loose_over_sliding !== undefined ? ["Break-loose over sliding", fixed(f.break_loose_over_sliding, 2)] : null]) : null,
    history ? el("p", null, bound(history.says)) : null,
    job.seat_jobs.length > 1 ? table("Jobs on this seat", ["Job", "Started, UTC", "Work", "Call", "Broke loose"], job.seat_jobs.map((one) => [job_link(one.number), started(one.started), one.work, call_badge(one.call), force(one.break_loose_N)])) : null);
}

function warnings_part(job) {
  if (!job.warnings.length) return section("Warnings", el("p", null, "None."), job.cannot_judge.length ? el("details", null, el("summary", null, "What these instruments can't judge"), list(job.cannot_judge)) : null);
  return section("Warnings", job.warnings.map((w) => el("div", { class: "finding" },
    el("h3", null, call_badge(w.call), plain(w.id)), el("p", null, `${bound(w.says)} At ${fixed(w.t_s, 1)} s, ${turns(w.turns)}, ${force(w.force_N)}.`), w.inspect.length ? el("p", { class: "quiet" }, `Look at: ${w.inspect.join("; ")}.`) : null)),
  job.cannot_judge.length ? el("details", null, el("summary", null, "What these instruments can't judge"), list(job.cannot_judge)) : null);
}

function set_up_part(job) {
  const s = job.set_up, known = (value, unit) => (value === null ? "not known" : `${+value.toPrecision(4)} ${unit}`);
  return section("Set-up and instruments",
    s.marks.length ? el("div", null, el("p", null, "Marked when the job began:"), list(s.marks)) : null,
    facts([["Rig", job.record.rig || "—"], ["The drift goes", plain(s.access)], ["Pitch of the screw", known(s.pitch_mm, "mm")],
      ["Stiffness", s.stiffness_N_per_mm === null ? "not known" : `${known(s.stiffness_N_per_mm, "N/mm")}, ${s.stiffness_measured ? "measured" : "not measured"}`],
      ["Limit of the rig", known(s.force_limit_N, "N")], ["Fastest hand these follow", known(s.fastest_turns_per_s, "turn/s")], ["Contact length", known(s.seat_length_mm, "mm")]]),
    s.instruments.length ? table("Instruments", ["Measures", "Port", "Format", "Certificate", "Capacity", "Least count", "Readings a second"], s.instruments.map((i) => {
      const unit = i.measures === "force" ? "N" : i.measures === "turns" ? "" : "mm";
      return [plain(i.measures), i.device || i.port || "—", i.format || "—", i.certificate ? el("a", { href: `#calibrations/${encodeURIComponent(i.certificate)}` }, i.certificate) : "none named", known(i.capacity, unit), known(i.least_count, unit), known(i.readings_per_s, "")];
    })) : null,
    el("details", null, el("summary", null, "The job file as given"), el("pre", { tabindex: "0" }, s.job_text || "—")),
    el("details", null, el("summary", null, "The rig file as given"), el("pre", { tabindex: "0" }, s.rig_text || "—")));
}

// The photo an inspection names; its words are in the entry's own sentence.
function photo_of(entry) {
  if (entry.kind !== "inspection") return null;
  let photo = "";
  try { photo = JSON.parse(entry.content).photo || ""; } catch { return null; }
  if (!/^[0-9a-f]{64}$/.test(photo)) return null;
  return el("a", { href: `/data/review/photo/${photo}`, target: "_blank", rel: "noopener" }, el("img", { src: `/data/review/photo/${photo}`, loading: "lazy", alt: `Photo of the inspection by ${entry.who || "somebody"}, ${started(entry.made)}` }));
}

function entries_part(job) {
  const all = new Map([...job.entries, ...job.seat_entries].map((entry) => [entry.entry, entry]));
  const rows = [...all.values()].sort((a, b) => a.entry - b.entry);
  if (!rows.length) return section("Notes, inspections, sign-offs", el("p", null, "None yet. “halfturn note”, “inspect” and “sign-off” add them."));
  const photos = rows.map(photo_of).filter(Boolean);
  return section("Notes, inspections, sign-offs",
    el("ul", { class: "entries" }, rows.map((entry) => el("li", null,
      el("span", { class: "quiet" }, `${started(entry.made)} `), el("strong", null, plain(entry.kind)), entry.who ? ` by ${entry.who}` : "",
      entry.job !== null && entry.job !== job.record.number ? el("span", null, " on ", job_link(entry.job)) : entry.job === null ? " of the seat" : "", ": ",
      el("span", { class: entry.taken_back ? "gone" : null }, entry.says), entry.taken_back ? " (taken back)" : ""))),
    photos.length ? el("div", { class: "photos" }, photos) : null);
}

export class View extends AskingPage {
  async show(place) {
    this.leave();
    const mine = ++this.asked;
    // The readings come at once however long the job; all else is read from judging it again, which may take a while.
    const readings = new Readings(place.id);
    this.parts.push(readings);
    fill_with(this.box, el("p", { role: "status" }, "Judging the job again from its stored bytes…"), readings.box);
    await readings.show();
    if (mine !== this.asked) return;
    const job = await ask(`job/${encodeURIComponent(place.id)}`);
    if (mine !== this.asked) return;
    this.after = [];
    const r = job.record;
    const like = el("div", { class: "rows" }, el("p", { class: "quiet" }, "Looking…"));
    fill_with(this.box,
      el("h1", { tabindex: "-1" }, call_badge(job.call), `Job ${r.number}: ${work_words(r)}, ${seat_words(r)}`),
      el("p", { class: "lead" }, el("span", null, `${started(r.started)} UTC`), r.who ? el("span", null, `by ${r.who}`) : null, r.set ? el("span", null, `set ${r.set}`) : null, r.practice ? el("span", { class: "practice" }, "practice") : null),
      el("div", { class: "two" },
        el("div", { class: "rows" }, curve_part(job, this), warnings_part(job), record_part(job)),
        el("div", { class: "rows" }, profile_part(job, this), fit_part(job), entries_part(job), section("Jobs like this one", like))),
      readings.box,
      set_up_part(job),
      section("What happened", table("Events", ["At, s", "What"], job.happened.map((one) => [fixed(one.t_s, 2), one.says]))));
    for (const then of this.after) then();
    document.title = `Job ${r.number} – halfturn`;
    this.box.querySelector("h1").focus({ preventScroll: true });
    this.like(like, r.number, mine);
  }

  async like(box, number, mine) {
    const found = await ask(`like/${number}`).catch((problem) => ({ like: [], problem: problem.message }));
    if (mine !== this.asked) return;
    if (!found.like.length) return fill_with(box, el("p", { class: "quiet" }, found.problem || "No other job's curve was read yet that could be compared with this one."));
    fill_with(box,
      el("p", { class: "quiet" }, `The nearest of ${found.compared} curves of the same work. A repeat on the same fit is about 1 apart; from 3 on it is plainly another pull.`),
      table("Jobs like this one", ["Apart", "Job", "Call", "Item · seat"], found.like.map((one) => [fixed(one.distance, 2), job_link(one.record.number), call_badge(one.record.call), seat_words(one.record)])),
      el("p", null, el("a", { class: "press", id: "compare-like", href: `#compare?jobs=${[number, ...found.like.slice(0, 3).map((one) => one.record.number)].join(",")}` }, "Lay this over the nearest")));
  }
}
