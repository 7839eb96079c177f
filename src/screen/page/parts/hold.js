// A button that acts only when it is held for a second, by finger, mouse, Enter or space bar: a bump does nothing.
import { el } from "../dom.js";

const hold_ms = 1000;

export function hold_button(text, done) {
  const fill = el("span", { class: "fill", "aria-hidden": "true" });
  const words = el("span", null, text);
  const button = el("button", { type: "button", class: "hold" }, fill, words);
  let since = null, frame = 0;
  const stop = () => {
    since = null;
    cancelAnimationFrame(frame);
    fill.style.width = "0";
  };
  const step = () => {
    if (since === null || button.disabled) return stop();
    const part = (performance.now() - since) / hold_ms;
    fill.style.width = `${Math.min(100, part * 100)}%`;
    if (part >= 1) {
      stop();
      done();
    } else {
      frame = requestAnimationFrame(step);
    }
  };
  const start = () => {
    if (since !== null || button.disabled) return;
    since = performance.now();
    step();
  };
  button.addEventListener("pointerdown", (event) => { if (event.isPrimary) start(); });
  for (const name of ["pointerup", "pointercancel", "pointerleave", "blur"]) button.addEventListener(name, stop);
  button.addEventListener("keydown", (event) => { if ((event.key === "Enter" || event.key === " ") && !event.repeat) start(); });
  button.addEventListener("keyup", stop);
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  return { button, words };
}
