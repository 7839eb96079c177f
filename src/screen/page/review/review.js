// The review pages: reads the address after "#", shows that view. They only read; nothing here acts on a job.
// To add a view: write review/<name>.js with a class View (constructor(box), show(place), leave()) and name it here and in
// review.html. `place` is what follows the name: { id, query }.
import { $, el, fill_with } from "../dom.js";

const views = {
  jobs: () => import("./jobs.js"),
  job: () => import("./job.js"),
  compare: () => import("./compare.js"),
  trends: () => import("./trends.js"),
  calibrations: () => import("./calibrations.js"),
};

let shown = null, shown_name = null, wish = 0;

function place_of(hash) {
  const [, name, id, query] = /^#?([a-z]*)(?:\/([^?]*))?(?:\?(.*))?$/.exec(hash) || [];
  return { name: views[name] ? name : "jobs", id: decodeURIComponent(id || ""), query: new URLSearchParams(query || "") };
}

async function show() {
  const place = place_of(location.hash), mine = ++wish;
  for (const link of document.querySelectorAll("#top a[data-view]")) {
    const here = link.dataset.view === place.name || (link.dataset.view === "jobs" && place.name === "job");
    if (here) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  if (shown_name !== place.name) {
    const { View } = await views[place.name]();
    if (mine !== wish) return;   // another was wanted meanwhile
    shown?.leave();
    $("view").replaceChildren();
    window.scrollTo(0, 0);
    shown = new View($("view"));
    shown_name = place.name;
  }
  try {
    await shown.show(place);
  } catch (problem) {
    if (mine === wish) fill_with($("view"), el("h1", { tabindex: "-1" }, "Not found"), el("p", { class: "bad", role: "alert" }, problem.message), el("p", null, el("a", { href: "#jobs" }, "All jobs")));
  }
}

addEventListener("hashchange", show);
$("skip").addEventListener("click", (event) => { event.preventDefault(); $("view").focus(); });
show();

// Whoever reads here must still learn that a job began at the bench.
function listen() {
  const socket = new WebSocket(`ws://${location.host}/live`);
  socket.onmessage = (event) => {
    const state = JSON.parse(event.data);
    if (state.t === "state") $("at-work").hidden = !["opening", "ready", "running"].includes(state.stage);
  };
  socket.onclose = () => { $("at-work").hidden = true; setTimeout(listen, 5000); };
}
listen();
