// The list: search and filters at its side, jobs by pages, some picked to be compared. All of it is in the address, so that
// Back comes back and a link can be handed on.
import { $, el, button, fill_with, put } from "../dom.js";
import { ask, call_badge, job_link, plain, seat_words, started, table, work_words } from "./ask.js";

const page_size = 50, pause_ms = 160, most_picked = 12;
const texts = [["bearing", "Bearing"], ["item", "Item"], ["seat", "Seat"], ["set", "Set"], ["who", "Who"], ["rig", "Rig"]];

// What matched stands in every second piece.
const passage = (pieces) => el("span", { class: "passage" }, pieces.map((piece, i) => (i % 2 ? el("mark", null, piece) : piece)));

function what_was_seen(job) {
  const tags = [...(job.warnings || []).map((id) => `warning: ${plain(id)}`), ...(job.findings || []).filter((id) => id !== "nothing-unusual").map((id) => `seat: ${plain(id)}`)];
  if (job.signed_off) tags.push("✓ signed off");
  if (job.set_aside) tags.push("set aside");
  if (job.practice) tags.push("practice");
  if (job.state !== "ended") tags.push(plain(job.state));
  if (!tags.length && !job.passage.length) return "—";
  return el("span", null, el("span", { class: "tags" }, tags.map((tag) => el("span", { class: "tag" }, tag))), job.passage.length ? passage(job.passage) : null);
}

export class View {
  constructor(box) {
    this.box = box;
    this.picked = new Set();
    this.asked = 0;
    this.onkey = (event) => {
      const typing = event.target.closest?.("input, select, textarea");
      if (event.key === "/" && !typing && !event.ctrlKey && !event.metaKey) {
        event.preventDefault();
        $("q-search").focus();
      }
      if ((event.key === "ArrowDown" || event.key === "ArrowUp") && event.target.matches?.("a.open")) this.step(event, event.key === "ArrowDown" ? 1 : -1);
    };
    addEventListener("keydown", this.onkey);
  }

  leave() {
    removeEventListener("keydown", this.onkey);
    clearTimeout(this.timer);
    clearTimeout(this.again);
    ++this.asked;
  }

  step(event, by) {
    const links = [...this.box.querySelectorAll("a.open")], to = links[links.indexOf(event.target) + by];
    if (!to) return;
    event.preventDefault();
    to.focus();
  }

  async show(place) {
    document.title = "Recorded jobs – halfturn";
    if (!this.form) await this.build();
    this.fill(place.query);
    await this.load(place.query);
  }

  async build() {
    const fields = await ask("fields");
    const label = (name, title, input) => el("div", null, el("label", { class: "label", for: `q-${name}` }, title), input);
    const choose = (name, title, options) => label(name, title, el("select", { name, id: `q-${name}` }, el("option", { value: "" }, "any"), options.map(([value, words]) => el("option", { value }, words))));
    const type = (name, title, more) => label(name, title, el("input", { name, id: `q-${name}`, autocomplete: "off", ...more }));
    const suggested = ([name, title]) => [type(name, title, { list: `values-${name}`, maxlength: 120 }), el("datalist", { id: `values-${name}` })];
    this.form = el("form", { role: "search", onsubmit: (event) => { event.preventDefault(); this.go(); } },
      type("search", "Search texts, notes, names", { type: "search", maxlength: 400, "aria-keyshortcuts": "/" }),
      el("fieldset", null, el("legend", null, "Call"), fields.calls.map(({ id, words }) => el("label", { class: "check" }, el("input", { type: "checkbox", name: "call", value: id, id: `q-call-${id}` }), words))),
      el("details", { id: "more-fields" }, el("summary", null, "More"),
        el("div", { class: "rows" },
          choose("warning", "Warning", fields.warnings.map(({ id }) => [id, plain(id)])),
          choose("finding", "Finding at the seat", fields.findings.map(({ id, words }) => [id, words])),
          texts.map(suggested),
          type("since", "From this day (UTC)", { type: "date" }), type("until", "To this day (UTC)", { type: "date" }),
          choose("signed-off", "Signed off", [["yes", "yes"], ["no", "no"]]), choose("set-aside", "Set aside", [["yes", "yes"], ["no", "no"]]))),
      button("All jobs again", () => { location.hash = "#jobs"; }, { id: "clear" }));
    this.form.addEventListener("input", (event) => {
      if (texts.some(([name]) => name === event.target.name)) this.suggest(event.target);
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.go(), pause_ms);
    });
    for (const [name] of texts) this.form.querySelector(`#q-${name}`).addEventListener("focus", (event) => this.suggest(event.target));
    if (matchMedia("(min-width: 78rem)").matches) this.form.querySelector("details").open = true;
    this.count = el("p", { role: "status" });
    this.rows = el("div");
    this.paging = el("div", { class: "actions" });
    this.bar = el("div", { class: "picked actions", hidden: true });
    fill_with(this.box, el("h1", { tabindex: "-1" }, "Recorded jobs"),
      el("div", { class: "list" }, this.form, el("div", { class: "results" }, el("div", { class: "count" }, this.count), this.rows, this.paging, this.bar)));
  }

  async suggest(input) {
    const values = await ask(`values/${input.name}`, new URLSearchParams({ begins: input.value })).catch(() => []);
    $(`values-${input.name}`)?.replaceChildren(...values.map((value) => el("option", { value })));
  }

  // From the address into the fields, but not into one that is being typed in.
  fill(query) {
    const calls = query.getAll("call");
    let more = false;
    for (const input of this.form.querySelectorAll("input, select")) {
      if (input.name === "call") input.checked = calls.includes(input.value);
      else if (input !== document.activeElement) input.value = query.get(input.name) || "";
      more ||= input.name !== "call" && input.name !== "search" && input.value !== "";
    }
    if (more) this.form.querySelector("details").open = true;
  }

  // From the fields into the address; typing replaces it, so that Back leaves the list at once.
  go() {
    const query = new URLSearchParams();
    for (const [name, value] of new FormData(this.form)) if (value.trim()) query.append(name, value.trim());
    const hash = query.size ? `#jobs?${query}` : "#jobs";
    if (hash === (location.hash || "#jobs")) return;
    history.replaceState(null, "", hash);
    this.load(query);
  }

  async load(query, quietly = false) {
    const mine = ++this.asked, asked = new URLSearchParams(query);
    clearTimeout(this.again);
    asked.set("most", page_size);
    let found;
    try {
      found = await ask("jobs", asked);
    } catch (problem) {
      if (mine !== this.asked) return;
      put(this.count, "");
      return fill_with(this.rows, el("p", { class: "bad", role: "alert" }, problem.message));
    }
    if (mine !== this.asked) return;
    const had_focus = quietly && this.rows.contains(document.activeElement) ? document.activeElement.getAttribute("href") : null;
    this.draw(found, query);
    if (had_focus) this.rows.querySelector(`a[href="${had_focus}"]`)?.focus();
    // The index, or the curves' findings, are still being read: look again until they are.
    if (!found.complete || (found.curves_unread && query.has("finding"))) this.again = setTimeout(() => this.load(query, true), 1000);
  }

  draw({ jobs, total, more, complete, curves_unread, more_unread }, query) {
    const from_newest = !query.has("before");
    const count = (number, beyond) => `${beyond ? "more than " : ""}${number.toLocaleString("en").replaceAll(",", "\u202f")}`;
    const many = total === 1 ? "1 job" : `${count(total, more)} jobs`;
    put(this.count, (total === 0 ? "No jobs are like that." : from_newest && jobs.length === total ? many : `${jobs.length} of ${many}, ${from_newest ? "the newest first" : "older ones"}`) +
      (complete ? "" : " Older records are still being read in.") + (curves_unread && query.has("finding") ? ` Curves still to be read for findings: ${count(curves_unread, more_unread)}.` : ""));
    const rows = jobs.map((job) => [
      el("label", { class: "pick" }, el("input", { type: "checkbox", checked: this.picked.has(job.number), "aria-label": `Compare job ${job.number}`, onchange: (event) => this.pick(job.number, event.target) })),
      el("span", null, el("a", { class: "open", href: `#job/${job.number}` }, `Job ${job.number}`), el("span", { class: "under" }, started(job.started))), call_badge(job.call),
      el("span", null, work_words(job), el("span", { class: "under" }, seat_words(job))), job.who || "—",
      what_was_seen(job)]);
    fill_with(this.rows, jobs.length ? table("Recorded jobs", ["Compare", "Job, UTC", "Call", "Bearing, seat", "Who", "Seen"], rows) : null);
    const older = new URLSearchParams(query);
    if (jobs.length) older.set("before", jobs.at(-1).number);
    fill_with(this.paging,
      from_newest ? null : el("a", { class: "press", href: (() => { const q = new URLSearchParams(query); q.delete("before"); return q.size ? `#jobs?${q}` : "#jobs"; })() }, "Newest"),
      jobs.length === page_size ? el("a", { class: "press", id: "older", href: `#jobs?${older}` }, "Older jobs") : null);
    this.draw_picked();
  }

  pick(number, input) {
    if (input.checked && this.picked.size >= most_picked) input.checked = false;
    else if (input.checked) this.picked.add(number);
    else this.picked.delete(number);
    this.draw_picked();
  }

  draw_picked() {
    const numbers = [...this.picked];
    this.bar.hidden = numbers.length === 0;
    fill_with(this.bar, el("span", null, "To compare: ", numbers.map((n, i) => [i ? ", " : "", job_link(n)])),
      numbers.length > 1 ? el("a", { class: "press", id: "compare-picked", href: `#compare?jobs=${numbers.join(",")}` }, "Lay over one another") : el("span", { class: "quiet" }, "pick one more"));
  }
}
