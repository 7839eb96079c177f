// The certificates the store keeps: what is good now, what is due, and each as it was written.
import { el, fill_with } from "../dom.js";
import { ask, plain, table } from "./ask.js";

const marks = { "valid": "✓ valid", "due soon": "◷ due soon", "expired": "✗ expired", "superseded": "↷ superseded" };

export class View {
  constructor(box) { this.box = box; }
  leave() {}

  async show(place) {
    const { certificates, head } = await ask("calibrations");
    document.title = "Calibrations – halfturn";
    const one = (c) => el("details", { id: `certificate-${c.id}`, open: c.id === place.id }, el("summary", null, `${c.id}: ${plain(c.kind)}, ${c.rig || "no rig named"} – ${marks[c.state] || c.state}`), el("pre", { tabindex: "0" }, c.page));
    fill_with(this.box, el("h1", { tabindex: "-1" }, "Calibrations"),
      certificates.length
        ? [table("Certificates", ["Certificate", "Kind", "Rig", "Channel", "Made", "Valid until", "State"], certificates.map((c) => [el("a", { href: `#calibrations/${encodeURIComponent(c.id)}` }, c.id), plain(c.kind), c.rig || "—", c.channel ? plain(c.channel) : "—", c.made, c.valid_until || "—", el("span", { class: "tag" }, (marks[c.state] || c.state) + (c.superseded_by ? ` by ${c.superseded_by}` : ""))])),
          el("h2", null, "As written"), certificates.map(one), el("p", { class: "quiet" }, "Head of the store ", el("span", { class: "hash" }, head))]
        : el("p", null, "No certificate is kept yet. “halfturn calibrate” makes them: force against a reference, travel, stiffness, pitch."));
    const wanted = place.id && certificates.find((c) => c.id === place.id);
    if (!wanted) return this.box.querySelector("h1").focus({ preventScroll: true });
    const details = document.getElementById(`certificate-${wanted.id}`);
    details.querySelector("summary").focus();
    details.scrollIntoView({ block: "start" });
  }
}
