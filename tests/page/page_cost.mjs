// What the page costs while a job runs, in headless Chromium; run by tools/bench against a server it feeds. Prints one line of JSON.
//   node tests/page/page_cost.mjs frames ADDRESS SECONDS   script and layout for each frame, with the curve open
//   node tests/page/page_cost.mjs memory ADDRESS SECONDS   live memory while job follows job
import { chromium } from "playwright-core";

const [what, address, seconds] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", headless: true,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--js-flags=--expose-gc"] });
const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
const wire = await page.context().newCDPSession(page);
await page.goto(address);

const quantile = (values, p) => [...values].sort((a, b) => a - b)[Math.max(0, Math.ceil(p * values.length) - 1)];

// Names of the browser's own timeline on the main thread: script, garbage collection, style, layout, and what is written down for
// painting. A frame ends when it is handed to the painting threads.
const work = new Set(["FunctionCall", "EvaluateScript", "EventDispatch", "TimerFire", "FireAnimationFrame", "RunMicrotasks", "V8.GCScavenger", "MinorGC", "MajorGC", "UpdateLayoutTree", "Layout", "PrePaint", "Paint", "Layerize"]);

function frame_times(trace) {
  const main = new Map();
  for (const event of trace) if (event.name === "BeginCommitCompositorFrame") main.set(event.tid, (main.get(event.tid) || 0) + 1);
  const thread = [...main].sort((a, b) => b[1] - a[1])[0][0];
  const on_it = trace.filter((e) => e.tid === thread).sort((a, b) => a.ts - b.ts);
  const ends = on_it.filter((e) => e.name === "BeginCommitCompositorFrame").map((e) => e.ts);
  const took = new Array(ends.length - 1).fill(0);
  let frame = 0, until = 0;   // what lies inside another span is counted with it
  for (const { ts, dur, tdur } of on_it.filter((e) => e.ph === "X" && work.has(e.name))) {
    while (frame < took.length && ts >= ends[frame + 1]) ++frame;
    if (ts < ends[0] || ts < until || frame >= took.length) continue;
    took[frame] += (tdur ?? dur) / 1000;   // the thread's own time, where the browser counts it: others use the machine too
    until = ts + dur;
  }
  return took;
}

if (what === "frames") {
  await page.waitForSelector("#live:not([hidden])", { timeout: 30000 });
  await page.click("#open-curve");
  await page.waitForSelector("#curve-box canvas");
  await page.waitForTimeout(2000);
  await browser.startTracing(page, { categories: ["devtools.timeline", "disabled-by-default-devtools.timeline", "devtools.timeline.frame", "v8"] });
  await page.waitForTimeout(Number(seconds) * 1000);
  const took = frame_times(JSON.parse(String(await browser.stopTracing())).traceEvents);
  console.log(JSON.stringify({ frames: took.length, p50_ms: quantile(took, 0.5), p95_ms: quantile(took, 0.95), p99_ms: quantile(took, 0.99), most_ms: Math.max(...took) }));
} else {
  let states = 0;
  await wire.send("Network.enable");
  wire.on("Network.webSocketFrameReceived", (event) => { if (event.response.payloadData.startsWith('{"t":"state"')) ++states; });
  await page.reload();
  await wire.send("Performance.enable");
  const samples = [];
  for (const end = Date.now() + Number(seconds) * 1000; Date.now() < end;) {
    await page.waitForTimeout(2500);
    await wire.send("HeapProfiler.collectGarbage");
    const metrics = Object.fromEntries((await wire.send("Performance.getMetrics")).metrics.map((m) => [m.name, m.value]));
    samples.push({ states, MiB: metrics.JSHeapUsedSize / 2 ** 20, nodes: metrics.Nodes });
  }
  // The slope over the later half, when everything has been loaded and every shape was drawn once.
  const later = samples.slice(samples.length >> 1), mean = (key) => later.reduce((sum, s) => sum + s[key], 0) / later.length;
  const x = mean("states"), y = mean("MiB");
  const slope = later.reduce((sum, s) => sum + (s.states - x) * (s.MiB - y), 0) / later.reduce((sum, s) => sum + (s.states - x) ** 2, 0);
  const least_nodes = (part) => Math.min(...part.map((s) => s.nodes));   // whatever room is shown just then
  console.log(JSON.stringify({ states, MiB_per_state: slope, MiB: y, nodes_first: least_nodes(later.slice(0, later.length >> 1)), nodes_last: least_nodes(later.slice(later.length >> 1)) }));
}
await browser.close();
