// A button that acts only when it is held for a second, by one finger, mouse, Enter or space bar. A bump does nothing: a touch
// that ends before, that slides off, or that is not the only one on the screen.
import { el } from "../dom.js";

const hold_ms = 1000;

// Every finger that is down, wherever: what a hand leaning on the screen gives away.
const down = new Set();
addEventListener("pointerdown", (event) => down.add(event.pointerId), true);
for (const name of ["pointerup", "pointercancel"]) addEventListener(name, (event) => down.delete(event.pointerId), true);

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
    if (since === null || button.disabled || down.size > 1) return stop();
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
  // A touch stays with the button it began on, so where it is has to be looked at.
  const off = (event) => {
    const box = button.getBoundingClientRect();
    if (event.clientX < box.left || event.clientX > box.right || event.clientY < box.top || event.clientY > box.bottom) stop();
  };
  button.addEventListener("pointerdown", start);
  button.addEventListener("pointermove", off);
  for (const name of ["pointerup", "pointercancel", "pointerleave", "blur"]) button.addEventListener(name, stop);
  button.addEventListener("keydown", (event) => { if ((event.key === "Enter" || event.key === " ") && !event.repeat) start(); });
  button.addEventListener("keyup", stop);
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  return { button, words };
}
