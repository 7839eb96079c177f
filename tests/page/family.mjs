// Earlier jobs of the same kind, from the form: what they say is shown before anybody lets them, and what they taught is frozen
// into the job's set-up.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import path from "node:path";
import { ask, bin, example, file, folder, halfturn, new_store, serve } from "./bench.mjs";
import { rig_with_instruments } from "./seat.mjs";
import { Visit, until } from "./visit.mjs";

const earlier = 5;

// Clean pulls on five castor forks.
function store_with_jobs() {
  const store = new_store(), rig = file("family-rig.toml", example("rig"));
  for (let i = 1; i <= earlier; ++i) {
    const job = file("family-job.toml", example("job").replace("castor fork 17", `castor fork ${100 + i}`)), log = path.join(folder, "family-log.jsonl");
    execFileSync(path.join(bin, "halfturn-practice"), ["log", "clean", "--seed", String(i), "--out", log]);
    halfturn("judge", log, "--job", job, "--rig", rig, "--keep", "--store", store);
  }
  return store;
}

async function fill_in(visit) {
  await visit.write("#f-designation", "61902-2RS");
  await visit.choose("#shape-flush");
  await visit.page.selectOption("#f-material", "6061-T6");
  await visit.write("#f-outside_diameter_mm", "40");
  await visit.choose("#surface-dry");
  await visit.write("#f-item", "castor fork 300");
  await visit.use("#start form > details > summary");
  await visit.write("#f-bore_mm", "27.978");
  await visit.write("#f-outside_mm", "27.998");
}

export const tests = {
  async family_on_the_form(browser) {
    const { rig, play } = rig_with_instruments("family"), store = store_with_jobs();
    const instruments = await play("clean"), server = await serve([], rig, store);
    for (const [size, more] of [["laptop", {}], ["phone", { by: "touch" }]]) {
      const visit = await Visit.open(browser, `family-${size}`, size, server.address, more), { page } = visit;
      await visit.page.waitForSelector("#family-no");
      assert.ok(await page.isChecked("#family-no"), "nothing is learned unless somebody says so");
      await fill_in(visit);
      await visit.use("#look-at-family");
      await until(page, () => /with them/.test(document.querySelector("#family-says").textContent), null, 20000);
      const says = await page.textContent("#family-says");
      assert.match(says, new RegExp(`Of ${earlier} earlier jobs of 61902 in 6061-T6, flush shape, measured bore, all count`));
      await visit.look_at_all("says");
      // What another program says of the same store: the command line.
      const expected = JSON.parse(halfturn("expect", file("family-next.toml", example("job").replace("castor fork 17", "castor fork 300").replace(/^(bore_u_um|outside_u_um) = .*$/gm, "")), "--rig", rig, "--family", "--store", store, "--json")).family;
      const numbers = says.replaceAll("\u202f", "").match(/(\d+)\s*N to (\d+)\s*N, with them (\d+)\s*N to (\d+)\s*N/).slice(1).map(Number);
      const { prior, posterior } = expected;
      [prior.break_loose_N.low, prior.break_loose_N.high, posterior.break_loose_N.low, posterior.break_loose_N.high].forEach((N, i) => assert.ok(Math.abs(N - numbers[i]) < 0.51, `${numbers} against ${JSON.stringify([prior, posterior])}`));
      assert.ok(numbers[3] - numbers[2] < numbers[1] - numbers[0], "narrower with them");
      // Another form, and what was said of the first is gone; no earlier jobs is said too.
      await visit.write("#f-outside_diameter_mm", "60");
      assert.equal(await page.textContent("#family-says"), "");
      await visit.use("#look-at-family");
      await until(page, () => /no earlier jobs/.test(document.querySelector("#family-says").textContent), null, 20000);
      await visit.write("#f-outside_diameter_mm", "40");
      if (size === "phone") {
        await visit.choose("#family-yes");
        await visit.look_at_all("yes");
        await visit.use("#start button[type=submit]");
        await page.waitForSelector("#before:not([hidden]) .step", { timeout: 20000 });
        await visit.use("#before > .actions:last-child button:last-child");
      }
      await visit.close();
    }
    const mark = new RegExp(`learned from ${earlier} earlier jobs of the family: \\d+ to \\d+ N, without them \\d+ to \\d+ N`);
    const started = `${earlier + 1}`;
    let set_up = "";
    for (const end = Date.now() + 20000; Date.now() < end && !mark.test(set_up); await new Promise((later) => setTimeout(later, 200)))
      set_up = ask(store, `SELECT json FROM set_ups WHERE job = ${started}`);
    assert.match(set_up, mark);
    instruments.end();
    await server.end();
  },
};
