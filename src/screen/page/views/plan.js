// The plan before a job, over whatever is shown: whether it goes this way with these parts and why, the stack in section, the
// set-up card. One touch away from the form and from the guided start.
import { $, el, fill_with, put } from "../dom.js";
import { sheet_blocks } from "../parts/sheet.js";

let back_to = null;

// {plan} or {problem}. Without a form: of the job at hand.
export async function ask(post, form) {
  if (form) {
    const answer = await post("/data/plan", JSON.stringify(form));
    return answer.ok ? { plan: JSON.parse(answer.text) } : { problem: answer.text };
  }
  const answer = await fetch("/data/plan", { cache: "no-store", signal: AbortSignal.timeout(5000) }).catch(() => null);
  if (!answer) return { problem: "No plan came within five seconds: the program is busy, or can't be reached." };
  if (answer.status === 404) return {};   // a page without plans
  return answer.ok ? { plan: await answer.json() } : { problem: await answer.text() };
}

// The reasons are the card's first box, below its first line.
export const reasons = (plan) => (plan.card.document.blocks.find((block) => block.kind === "boxed")?.text ?? "").split("\n").slice(1);

export function open({ plan, problem }) {
  back_to = document.activeElement;
  for (const room of document.querySelectorAll("main")) room.inert = true;
  $("plan").hidden = false;
  if (problem) fill_with($("plan-box"), el("p", { class: "bad", role: "alert" }, problem));
  else show(plan);
  $("plan").scrollTop = 0;
  $("close-plan").focus();
}

function show(plan) {
  const card = plan.card.document, why = reasons(plan);
  // On a narrow screen it is wider than its box, and what matters stands in its middle.
  const middle = ({ target }) => { target.parentNode.scrollLeft = (target.parentNode.scrollWidth - target.parentNode.clientWidth) / 2; };
  const drawing = (figure) => el("div", { class: "drawing", tabindex: "0", role: "group", "aria-label": "The stack in section; it can be moved sideways" },
    el("img", { src: `/data/plan/drawing/${plan.number}`, alt: figure.says, onload: middle }));
  fill_with($("plan-box"),
    el("p", null, card.subtitle),
    el("p", { class: "answer", "data-answer": plan.answer }, plan.words),
    why.length ? el("ul", { class: "plain" }, why.map((line) => el("li", null, line))) : el("p", null, "Nothing speaks against it."),
    sheet_blocks(card.blocks.filter((block) => block.kind !== "boxed"), drawing),
    el("p", { class: "quiet" }, card.foot),
    el("div", { class: "actions" }, el("a", { class: "press", href: `/data/plan/card/${plan.number}`, download: "set-up-card.pdf" }, "Set-up card to print")));
}

export function close() {
  if ($("plan").hidden) return;
  $("plan").hidden = true;
  for (const room of document.querySelectorAll("main")) room.inert = false;
  put($("plan-box"), "");
  back_to?.focus();
}

$("close-plan").addEventListener("click", close);
$("plan").addEventListener("keydown", (event) => event.key === "Escape" && close());
