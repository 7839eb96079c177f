// Numbers and names for people.

// Digits in threes, and a number kept on one line with its unit.
export function bound(text) {
  return text.replace(/(\d) (?=\d{3})/g, "$1\u202f").replace(/(\d) (?=(?:N|kN|mm|turns?|s)\b)/g, "$1\u00a0");
}

// In threes from five digits on, as the sentences of the judge have it.
export function force(N) {
  if (N === null || N === undefined) return "—";
  const whole = String(Math.abs(Math.round(N)));
  return `${Math.round(N) < 0 ? "−" : ""}${whole.length > 4 ? `${whole.slice(0, -3)}\u202f${whole.slice(-3)}` : whole}\u00a0N`;
}

export function turns(value) {
  if (value === null || value === undefined) return "—";
  return `${value.toFixed(2).replace(/^-0\.00$/, "0.00").replace("-", "−")}\u00a0${Math.abs(value) > 1 ? "turns" : "turn"}`;
}

export const call_words = {
  "nothing-unusual": "nothing unusual", "look-closer": "look closer", "stop-and-inspect": "stop and inspect", "cant-tell": "can't tell",
};

// Where the ring is, in each phase of a job.
export const phase_words = {
  slack: "not loaded", loading: "in its seat, not broken loose", sliding: "sliding out", clear: "clear of its seat",
  entering: "entering its seat", driving: "sliding in, not home", home: "home in its seat",
};

export const measure_words = { "force": "force", "screw-travel": "screw travel", "ring-travel": "ring travel", "turns": "turns" };

export function job_title(job) {
  // A hard hyphen: a number is not broken in two.
  return [`${(job.designation || "bearing").replaceAll("-", "\u2011")} ${job.work}`, job.item, job.seat].filter(Boolean).join(" · ");
}
