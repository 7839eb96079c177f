// The plan on the page, before the guided start and from the form: the answer with its reasons, the drawing, the card.
import assert from "node:assert/strict";
import { example, file, serve } from "./bench.mjs";
import { Visit, thorough, until } from "./visit.mjs";

const drawn = () => { const image = document.querySelector("#plan .drawing img"); return image?.complete && image.naturalWidth > 300; };

export const tests = {
  async plan_before_the_start(browser) {
    const inventory = file("inventory.toml", example("inventory"));
    const server = await serve(["--inventory", inventory]);
    const first = await Visit.open(browser, "plan-laptop", "laptop", server.address);
    await first.write("#f-designation", "61902");
    await first.use("#look-at-plan");
    await until(first.page, drawn, null, 20000);
    assert.match(await first.page.textContent("#plan .answer"), /go ahead|with care|not this way/);
    await first.look_at_all("form");
    await first.page.keyboard.press("Escape");
    assert.equal(await first.page.evaluate(() => document.activeElement.id), "look-at-plan", "focus comes back");
    await first.write("#f-designation", "no such bearing");
    await first.use("#look-at-plan");
    await first.page.waitForSelector("#plan .bad");
    assert.match(await first.page.textContent("#plan .bad"), /no such bearing/);
    first.forget_refusals();
    await first.use("#close-plan");

    await first.start_practice("clean", false);
    for (const [size, more] of [["laptop", {}], ["phone", { by: "touch", colorScheme: "dark" }], ...(thorough ? [["tablet", { colorScheme: "dark" }], ["upright", { by: "touch" }]] : [])]) {
      const visit = size === "laptop" ? first : await Visit.open(browser, `plan-${size}`, size, server.address, more);
      await visit.page.waitForSelector("#open-plan", { timeout: 20000 });
      await visit.look("before");
      await visit.use("#open-plan");
      await until(visit.page, drawn, null, 20000);
      await visit.look("plan");
      const text = await visit.page.textContent("#plan");
      for (const part of ["Parts", "Order of work", "Force and torque", "Cautions", "force expected", "never beyond", "Eye protection on"]) assert.ok(text.includes(part), `${visit.name}: no ${part}`);
      await visit.page.evaluate(() => document.querySelector("#plan .drawing").scrollIntoView());
      await visit.look("drawing");
      await visit.page.evaluate(() => document.querySelector("#plan table").scrollIntoView());
      await visit.look("card");
      const card = await visit.page.evaluate(async () => { const answer = await fetch(document.querySelector("#plan a.press").href); return [answer.headers.get("content-type"), (await answer.text()).slice(0, 5)]; });
      assert.deepEqual(card, ["application/pdf", "%PDF-"]);
      await visit.use("#close-plan");
      assert.ok(await visit.page.isVisible("#step-done"));
      if (visit !== first) await visit.close();
    }
    await first.close();
    await server.end();
  },

  // A drawer without a drift that fits: the start says so before anything else.
  async plan_that_does_not_go(browser) {
    const lone = file("lone.toml", 'name = "one drift"\n[[drift]]\nname = "disc 60"\ndiameter_mm = 60\nheight_mm = 10\n');
    const server = await serve(["--inventory", lone]);
    const visit = await Visit.open(browser, "plan-not-phone", "phone", server.address, { by: "touch" });
    await visit.start_practice("clean", false);
    await visit.page.waitForSelector("#before [role=alert]", { timeout: 20000 });
    assert.match(await visit.page.textContent("#before [role=alert]"), /Not this way\./);
    await visit.look("before");
    await visit.use("#open-plan");
    await visit.page.waitForSelector("#plan .answer");
    assert.equal(await visit.page.textContent("#plan .answer"), "not this way");
    await visit.look("plan");
    await visit.close();
    await server.end();
  },
};
