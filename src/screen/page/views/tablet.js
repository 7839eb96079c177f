// Using a tablet or a phone: whether this screen stays awake, what makes it so, and what silences.
import { el, button, fill_with } from "../dom.js";
import * as sounds from "../sounds.js";

const can_stay_awake = () => isSecureContext && "wakeLock" in navigator;

function awake_lines() {
  if (can_stay_awake()) return ["This page keeps the screen awake by itself from “before you pull” to the end of a job."];
  return ["This page can't keep the screen awake: browsers allow that only to pages of the machine itself and to https, and this one came over plain http.",
    "Set the screen time-out to its longest, or to never, and leave the device on its charger.",
    `An Android device on a USB cable can have the page as its own: on the bench computer “adb reverse tcp:${location.port} tcp:${location.port}”, on the device “localhost:${location.port}”. Then it stays awake by itself.`];
}

export class View {
  constructor(box) { this.box = box; }

  show() {
    const list = (title, lines) => el("section", { class: "step" }, el("h2", null, title), el("ul", { class: "plain" }, lines.map((line) => el("li", null, line))));
    fill_with(this.box, el("h1", { tabindex: "-1" }, "Tablet and phone"),
      list("Awake", awake_lines()),
      list("Heard", ["Media volume up, silent switch off. The sounds are tried at the start of every job, because a browser lets a page sound only after a touch.",
        "Any touch, any key and a pedal that types a space or Page Down silence. None of them clears a stop."]),
      el("div", { class: "actions" }, button("▶ try a sound", async () => { await sounds.wake(); sounds.once("look"); }), el("a", { class: "press", href: "#" }, "Back")),
      list("Another device", ["Start the program with --lan and point the device's camera at the square in the terminal. Each square lets in one device; then there is a new one.",
        "It must be in the same network. Nothing leaves that network."]));
    this.box.querySelector("h1").focus();
  }

  leave() { this.box.replaceChildren(); }
}
