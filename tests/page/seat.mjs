// The end of a job on the page: what was found at the seat goes into the store with its photo, and a set goes from seat to seat.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { symlinkSync, rmSync, existsSync } from "node:fs";
import path from "node:path";
import { ask, example, file, folder, halfturn, serve, start } from "./bench.mjs";
import { Visit, until } from "./visit.mjs";

// Width and height from a JPEG's frame header (ITU-T T.81, B.2.2).
function jpeg_size(bytes) {
  for (let at = 2; at < bytes.length;) {
    const marker = bytes[at + 1];
    if (marker >= 0xc0 && marker <= 0xc3) return { height: bytes.readUInt16BE(at + 5), width: bytes.readUInt16BE(at + 7) };
    at += 2 + bytes.readUInt16BE(at + 2);
  }
  return null;
}

// A large picture such as a camera makes, drawn by the browser itself.
const camera_picture = (page) => page.evaluate(async () => {
  const canvas = document.createElement("canvas");
  canvas.width = 4000;
  canvas.height = 3000;
  const c = canvas.getContext("2d");
  for (let i = 0; i < 400; ++i) {
    c.fillStyle = `hsl(${i * 37 % 360} 60% ${20 + i % 60}%)`;
    c.fillRect((i * 613) % 4000, (i * 379) % 3000, 420, 300);
  }
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.95));
  return [...new Uint8Array(await blob.arrayBuffer())];
});

// Instruments at the rig file's devices, played anew for each job: the devices are links, as /dev/serial/by-id has them.
// `whose` keeps apart those of tests that run at once.
export function rig_with_instruments(whose) {
  const names = ["force", "caliper", "counter"], links = names.map((name) => path.join(folder, `by-id-${whose}-${name}`));
  let text = example("rig");
  ["usb-force-indicator", "usb-caliper-bridge", "usb-turn-counter"].forEach((name, i) => { text = text.replace(`/dev/serial/by-id/${name}`, links[i]); });
  const play = (scenario) => new Promise((ready) => {
    const child = start("halfturn-practice", ["run", scenario, "--brisk", "4"], ["pipe", "pipe", "inherit"]);
    let lines = "";
    child.stdout.on("data", (bytes) => {
      lines += bytes;
      if (!lines.includes('"ready"')) return;
      for (const line of lines.split("\n").filter((one) => one.includes("device"))) {
        const { port, device } = JSON.parse(line), link = links[names.indexOf(port)];
        rmSync(link, { force: true });
        symlinkSync(device, link);
      }
      child.stdout.removeAllListeners("data");
      child.stdout.resume();
      ready({ say: (word) => child.stdin.write(word + "\n"), end: () => child.kill("SIGTERM") });
    });
  });
  return { rig: file(`rig-${whose}.toml`, text), play };
}

export const tests = {
  async found_at_the_seat(browser) {
    const server = await serve(["--brisk", "5"]);
    const visit = await Visit.open(browser, "found-phone", "phone", server.address, { by: "touch" });
    await visit.start_practice("clean", false);
    await visit.before_you_pull(false);
    await until(visit.page, () => /left the seat/.test(document.querySelector("#next").textContent), null, 150000);
    await visit.end_job();
    assert.ok(await visit.page.isVisible("#keep-found"));

    // Nothing said is nothing kept, and the page says what is missing.
    await visit.use("#keep-found");
    await visit.page.waitForSelector("#end form .bad:not([hidden])");
    assert.match(await visit.page.textContent("#end form .bad"), /at least one finding/);

    await visit.choose("#seen-clean");
    await visit.choose("#seen-scored");
    await visit.choose("#seen-corroded");
    assert.deepEqual(await visit.page.evaluate(() => [...document.querySelectorAll("input[name=seen]:checked")].map((i) => i.value)), ["scored", "corroded"], "clean goes when scored comes");
    await visit.choose("#turns_freely-no");
    await visit.choose("#decision-rework");
    await visit.use("#end form summary");
    await visit.write("#found-bore_mm", "27,991");
    await visit.use("#keep-found");
    await until(visit.page, () => /needs the gauge/.test(document.querySelector("#end form .bad").textContent), null, 5000);
    await visit.write("#found-bore_u_um", "2");
    await visit.write("#found-gauge", "bore gauge 12");
    await visit.write("#found-text", "scored at the mouth; Rost");
    const picture = Buffer.from(await camera_picture(visit.page));
    await visit.page.setInputFiles("#photo", { name: "seat.jpg", mimeType: "image/jpeg", buffer: picture });
    await visit.page.waitForSelector("canvas.photo:not([hidden])");
    await visit.look_at_all("filled-in");
    await visit.use("#keep-found");
    await visit.page.waitForSelector("#end .kept li", { timeout: 15000 });
    await visit.look("kept");
    assert.match(await visit.page.textContent("#end .kept"), /scored; corroded; the bearing does not turn freely; rework/);

    const kept = JSON.parse(ask(server.store, "SELECT json FROM entries WHERE kind = 'inspection'"));
    const bytes = Buffer.from(ask(server.store, "SELECT hex(bytes) FROM photos"), "hex");
    assert.equal(kept.photo, createHash("sha256").update(bytes).digest("hex"), "the entry names the photo that is kept");
    assert.deepEqual({ ...kept, photo: "" }, { gauge: "bore gauge 12", bore_mm: 27.991, bore_u_um: 2, seen: ["scored", "corroded"], turns_freely: false, decision: "rework", photo: "", text: "scored at the mouth; Rost" });
    assert.deepEqual(jpeg_size(bytes), { width: 1600, height: 1200 });
    assert.ok(bytes.length < picture.length / 2, `${bytes.length} bytes were sent of ${picture.length}`);
    assert.equal(ask(server.store, "SELECT e.who || ' ' || j.practice FROM entries e JOIN jobs j ON j.number = e.job WHERE e.kind = 'inspection'"), "Kim 1");
    halfturn("verify", "--store", server.store);   // throws unless the chain holds
    visit.forget_refusals();
    await visit.close();
    await server.end();
  },

  async set_in_order(browser) {
    const { rig, play } = rig_with_instruments("set");
    let instruments = await play("clean");
    const server = await serve([], rig);
    const visit = await Visit.open(browser, "set-tablet", "tablet", server.address);
    await visit.write("#f-designation", "61902");
    await visit.choose("#access-past-spacer");
    for (const [name, text] of [["who", "Ines"], ["item", "castor fork 17"], ["set", "spring service"], ["seats", "upper, lower"]]) await visit.write(`#f-${name}`, text);
    await visit.use("#start details summary");
    await visit.write("#f-bore_mm", "27.978");
    await visit.use("#start button[type=submit]");
    await visit.page.waitForSelector("#before:not([hidden]) .step", { timeout: 20000 });
    assert.match(await visit.page.textContent("#before"), /castor fork 17 · upper/);
    await visit.before_you_pull(false);
    instruments.say("go");
    await until(visit.page, () => /turns? since contact/.test(document.querySelector("#nut-box").textContent), null, 60000);
    await visit.end_job();
    await visit.page.waitForSelector("#next-job");
    assert.match(await visit.page.textContent("#next-job"), /Next of the set: castor fork 17 · lower/);
    await visit.choose("#seen-clean");
    await visit.choose("#decision-reuse");
    await visit.use("#keep-found");
    await visit.page.waitForSelector("#end .kept li", { timeout: 15000 });
    await until(visit.page, () => /reuse/.test(document.querySelector("#end .set table").textContent), null, 10000);
    await visit.look_at_all("end");
    await visit.use("#next-job");
    await visit.page.waitForSelector("#start:not([hidden]) #f-seat");
    const value = (name) => visit.page.inputValue(`#f-${name}`);
    assert.deepEqual([await value("seat"), await value("item"), await value("designation"), await value("bore_mm"), await value("who")], ["lower", "castor fork 17", "61902", "", "Ines"]);
    assert.ok(await visit.page.isChecked("#access-unknown"), "the spacer may be out by now");
    await visit.look("next");

    // A job that is left before it began is none: the seat is still the next one.
    instruments.end();
    instruments = await play("clean");
    await visit.use("#start button[type=submit]");
    await visit.page.waitForSelector("#before:not([hidden]) .step", { timeout: 20000 });
    await visit.use("#before > .actions:last-child button:last-child");
    await visit.use("#wait-body button");
    await visit.page.waitForSelector("#start:not([hidden]) #f-seat");
    assert.equal(await value("seat"), "lower");
    instruments.end();
    assert.equal(ask(server.store, "SELECT seat || ' ' || set_name FROM jobs WHERE number = 1"), "upper spring service");
    await visit.close();
    await server.end();
  },
};
