// What the instruments gave, over time: each channel in a picture of its own, all of one stretch, drawn from what the server has
// ready for any stretch of a job of hours.
//   const readings = new Readings(number);  page.append(readings.box);  await readings.show();  readings.leave();
import { el, button, fill_with } from "../dom.js";
import { measure_words } from "../words.js";
import { Lines } from "../parts/lines.js";
import { ask, section } from "./ask.js";

const columns = 1200, least_s = 0.02, pause_s = 1;
const value_text = { N: (v) => `${Math.round(v)} N`, mm: (v) => `${+v.toFixed(3)} mm`, turns: (v) => `${+v.toFixed(3)}` };
const time_text = (s) => (s >= 600 ? `${+(s / 60).toFixed(1)} min` : `${+s.toFixed(2)} s`);

// Columns as one line that goes from the lowest to the highest of each; where nothing came for a second, the line breaks.
function line_of({ from_s, to_s }, pairs) {
  const xs = [], ys = [], wide_s = (to_s - from_s) / pairs.length, at = (i) => from_s + (i + 0.5) * wide_s;
  let last = -1;
  pairs.forEach((pair, i) => {
    if (!pair) return;
    if (last >= 0 && at(i) - at(last) > Math.max(pause_s, 3 * wide_s)) { xs.push(at(last) + wide_s); ys.push(null); }
    for (const y of pair[0] === pair[1] ? [pair[0]] : pair) { xs.push(at(i)); ys.push(y); }
    last = i;
  });
  return [xs, ys];
}

export class Readings {
  constructor(number) {
    this.number = number;
    this.parts = [];
    this.asked = 0;
    this.said = el("p", { role: "status" }, "Reading…");
    this.pictures = el("div", { class: "rows" });
    const step = (words, id, change) => button(words, () => this.move(change), { id });
    this.buttons = el("div", { class: "actions" },
      step("Closer", "readings-closer", (mid, half) => [mid - half / 2, mid + half / 2]), step("Wider", "readings-wider", (mid, half) => [mid - 2 * half, mid + 2 * half]),
      step("◀ Earlier", "readings-earlier", (mid, half) => [mid - 1.5 * half, mid + 0.5 * half]), step("Later ▶", "readings-later", (mid, half) => [mid - 0.5 * half, mid + 1.5 * half]),
      button("Whole job", () => this.show(), { id: "readings-whole" }));
    this.box = section("The readings over time", this.said, this.pictures, this.buttons);
    this.box.addEventListener("keydown", (event) => this.key(event));
  }

  // Arrows, + and − on any of the buttons.
  key(event) {
    const id = { ArrowLeft: "earlier", ArrowRight: "later", "+": "closer", "-": "wider", Home: "whole" }[event.key];
    if (!id || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    this.buttons.querySelector(`#readings-${id}`).click();
  }

  // Inside the job, and no closer than a reading is apart.
  move(change) {
    if (!this.now) return;
    const { from_s, to_s, whole } = this.now, all = whole.to_s - whole.from_s;
    let [from, to] = change((from_s + to_s) / 2, (to_s - from_s) / 2);
    const long = Math.min(all, Math.max(to - from, least_s));
    if (long >= all) return this.show();
    from = Math.min(Math.max((from + to - long) / 2, whole.from_s), whole.to_s - long);
    return this.show({ from_s: from, to_s: from + long });
  }

  async show(stretch) {
    const mine = ++this.asked;
    let found;
    try {
      found = await ask(`readings/${this.number}`, new URLSearchParams({ columns, ...stretch }));
    } catch (problem) {
      found = { channels: [], why_not: problem.message };
    }
    if (mine !== this.asked) return;
    this.clear();
    this.buttons.hidden = !found.channels.length;
    if (!found.channels.length) return fill_with(this.said, found.why_not);
    this.now = found;
    const whole = found.whole.to_s - found.whole.from_s, long = found.to_s - found.from_s;
    fill_with(this.said, long >= whole ? `All ${time_text(whole)}.` : `${time_text(long)} of ${time_text(whole)}, from ${time_text(found.from_s)} on.`, " Lowest and highest of each moment, above the job's zero; where nothing came for a second, the line breaks.");
    fill_with(this.pictures, found.channels.map((channel, i) => this.picture(channel, i)));
    for (const then of this.after.splice(0)) then();
  }

  picture(channel, i) {
    const name = measure_words[channel.measures] || channel.measures, given = channel.columns.filter(Boolean);
    if (!given.length) return el("p", { class: "quiet" }, `${name}: nothing in this stretch.`);
    const text = value_text[channel.unit], low = Math.min(...given.map((p) => p[0])), high = Math.max(...given.map((p) => p[1]));
    const plot = el("div", { class: i ? "plot low" : "plot", role: "img", "aria-label": `${name} over time, ${text(low)} to ${text(high)}` });
    this.after.push(() => {
      const lines = new Lines(plot, { x: "seconds since the job began", y_text: text, close_up: true, lines: [{ colour: "--bar", width: 2 }] });
      const [xs, ys] = line_of(this.now, channel.columns);
      lines.show(xs, [ys]);
      this.parts.push(lines);
    });
    return el("div", null, el("h3", null, `${name}, ${text(low)} to ${text(high)}`), plot);
  }

  after = [];

  clear() {
    for (const part of this.parts) part.leave();
    this.parts = [];
  }

  leave() {
    ++this.asked;
    this.clear();
  }
}
