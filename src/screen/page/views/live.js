// The live page: the hand's word, the nut, the column, and how old each reading is.
import { $, el, put, set } from "../dom.js";
import { bound, job_title, measure_words } from "../words.js";
import { Nut } from "../parts/nut.js";
import { Column } from "../parts/column.js";
import * as curve from "./curve.js";

const spoken = { turn: "turn", slower: "slower", wait: "wait", stop: "stop" };
const ask_again_ms = 4000, ages_every_ms = 240;

export class LivePage {
  constructor(act) {
    this.act = act;
    this.nut = new Nut($("nut-box"));
    this.column = new Column($("column-box"));
    this.asked_at = -1e9;
    $("open-curve").addEventListener("click", curve.open);
    curve.when_uncovered(() => this.state && this.draw());
    $("made-flat").addEventListener("click", () => this.act("flat"));
    $("end-job").addEventListener("click", () => this.end());
  }

  end() {
    const done = this.state.phase === "clear" || this.state.phase === "home";
    if (!done && performance.now() - this.asked_at > ask_again_ms) {
      this.asked_at = performance.now();
      put($("end-job"), "Press again to end");
      setTimeout(() => put($("end-job"), "End job"), ask_again_ms);
      return;
    }
    this.act("end");
  }

  show(state) {
    if (this.job !== state.job.id) {
      this.job = state.job.id;
      this.column.seen = 0;
      this.nut.decides(state.job.work === "out");
      $("strip-job").replaceChildren(state.job.practice ? el("span", { class: "practice" }, "practice") : "", " " + job_title(state.job));
      $("made-flat").hidden = !state.job.flats_by_hand;
      put($("end-job"), "End job");
    }
    this.state = state;
    if (this.word !== state.word) {
      this.word = state.word;
      const word = $("word");
      put(word, state.word);
      word.dataset.word = state.word;
      $("live").dataset.word = state.word;
      word.classList.remove("changed");
      void word.offsetWidth;
      word.classList.add("changed");
      const loud = state.word === "stop" || state.word === "slower";
      put($(loud ? "alarm-say" : "say"), spoken[state.word]);
      put($(loud ? "say" : "alarm-say"), "");
    }
    if (curve.covers()) curve.show_now(state);
    else this.draw();
  }

  draw() {
    const { state } = this;
    put($("next"), bound(state.message || state.next));
    const lamp = $("recording");
    set(lamp, "data-recording", state.recording);
    put(lamp, { on: "recording", late: "recording late", stopped: "NOT recording" }[state.recording]);
    this.nut.show(state.turns, state.phase);
    this.column.show(state);
    this.ages(state);
  }

  // The tenths of an age run too fast to be read, and each new text lays the line out anew; a reading that goes or comes is shown
  // at once.
  ages(state) {
    const box = $("ages"), known = state.channels.map((channel) => channel.value !== null).join(), now = performance.now();
    if (known === this.known && now - this.aged_at < ages_every_ms) return;
    this.known = known;
    this.aged_at = now;
    while (box.childElementCount < state.channels.length) box.append(el("span"));
    while (box.childElementCount > state.channels.length) box.lastChild.remove();
    state.channels.forEach((channel, i) => {
      const age = channel.age_s < 9.95 ? channel.age_s.toFixed(1) : String(Math.round(channel.age_s));
      set(box.children[i], "class", channel.value !== null ? "" : "old");
      put(box.children[i], channel.value !== null ? `${measure_words[channel.measures]} ${age} s old` : channel.heard ? `${measure_words[channel.measures]}: none for ${age} s` : `${measure_words[channel.measures]}: silent`);
    });
  }
}
