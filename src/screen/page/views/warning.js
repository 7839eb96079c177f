// A warning takes the whole screen: what the hands do now, what was seen, what to look at. A stop stays until the load is
// off and somebody holds the button; the others until any key or touch.
import { $, el, button, put } from "../dom.js";
import { bound, call_words, force, turns } from "../words.js";
import { hold_button } from "../parts/hold.js";

export class WarningScreen {
  constructor(act) {
    this.act = act;
    this.box = $("warning");
    this.seen = 0;        // warnings that were looked at, but for stops
    this.job = null;
    this.shown = null;
  }

  // Which one to show, or nothing: a stop before all, else the newest not yet looked at.
  pick(state) {
    if (state.stage !== "running") return -1;
    if (state.stop_latched) return state.warnings.findLastIndex((w) => w.call === "stop-and-inspect");
    for (let i = state.warnings.length - 1; i >= this.seen; --i) if (state.warnings[i].call !== "stop-and-inspect") return i;
    return -1;
  }

  show(state) {
    if (this.job !== state.job?.id) {
      this.job = state.job?.id;
      this.seen = 0;
      this.shown = null;
    }
    const index = this.pick(state);
    if (index < 0) return this.hide();
    const warning = state.warnings[index], is_stop = warning.call === "stop-and-inspect";
    if (this.shown !== index) this.build(warning, index, is_stop);
    this.update(state, is_stop);
  }

  build(warning, index, is_stop) {
    this.warning = warning;
    if (this.box.hidden) this.back_to = document.activeElement;
    this.shown = index;
    this.shown_at = performance.now();
    this.box.hidden = false;
    this.box.dataset.call = warning.call;
    delete this.box.dataset.unloaded;
    this.now = el("p", { class: "now" });
    const parts = [
      el("h2", { id: "warning-title", tabindex: "-1" }, is_stop ? "stop" : call_words[warning.call]),
      this.hands = el("p", { class: "hands" }, warning.hands),
      el("p", { class: "says" }, bound(warning.says)),
    ];
    const columns = el("div", { class: "columns" }, el("section", null, el("h3", null, "Look at"), el("ul", { class: "plain" }, warning.inspect.map((what) => el("li", null, what)))));
    parts.push(columns);
    if (is_stop) {
      this.steps = ["hold", "back off", "unloaded", "take apart"].map((text) => el("li", null, text));
      parts.splice(2, 0, el("ol", { class: "order", "aria-label": "In this order" }, this.steps));
      this.hold = hold_button("", () => this.act("acknowledge"));
      parts.push(el("div", { class: "actions" }, this.now, this.hold.button));
    } else {
      this.hold = null;
      parts.push(el("div", { class: "actions" }, this.now, button("Seen: go back", () => this.dismiss())));
    }
    this.box.replaceChildren(...parts);
    this.box.scrollTop = 0;
    parts[0].focus();
  }

  update(state, is_stop) {
    const force_known = state.force_N !== null;
    // What the hands do stands above; a word is repeated only where it says more than "turn".
    const load = is_stop ? (state.unloaded ? "Unloaded." : "Still loaded.") : state.word === "turn" ? "" : `The hand now: ${state.word}.`;
    const where = state.turns === null || state.unloaded ? "" : `, ${turns(state.turns)} since contact`;
    put(this.now, `${load} Force now ${force_known ? force(state.force_N) : "not known"}${where}.`.trim());
    if (!this.hold) return;
    this.box.dataset.unloaded = state.unloaded;
    put(this.hands, state.unloaded ? "Unloaded. Take apart and look." : this.warning.hands);
    this.hold.button.disabled = !state.unloaded;
    const going_down = force_known && state.force_N < 0.8 * state.peak_N;
    const at = state.unloaded ? 3 : going_down ? 1 : 0;
    this.steps.forEach((step, i) => { step.className = i === at ? "now" : i < at ? "done" : ""; });
    put(this.hold.words, state.unloaded ? "Hold one second: it is unloaded, and I looked" : "Clears only when unloaded");
  }

  dismiss() {
    this.seen = this.shown + 1;
    this.hide();
  }

  // A key or pedal, once the sound is off: closes what is not a stop. Not in the first moment, when it was meant for
  // something else.
  key() {
    if (this.box.hidden || this.hold || performance.now() - this.shown_at < 700) return false;
    this.dismiss();
    return true;
  }

  hide() {
    if (this.box.hidden) return;
    this.box.hidden = true;
    this.shown = null;
    this.hold = null;
    this.back_to?.focus();
  }
}
