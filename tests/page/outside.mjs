// What lies in page/outside is the pinned package's, byte for byte: to renew it, change the pin, install, copy.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";

export const tests = {
  async outside_code() {
    const here = path.dirname(fileURLToPath(import.meta.url)), kept = path.join(here, "../../src/screen/page/outside"), from = path.join(here, "node_modules/uplot");
    for (const [ours, theirs] of [["uplot.js", "dist/uPlot.esm.js"], ["uplot.css", "dist/uPlot.min.css"], ["uplot_license.txt", "LICENSE"]])
      assert.ok(readFileSync(path.join(kept, ours)).equals(readFileSync(path.join(from, theirs))), `${ours} is not the package's ${theirs}`);
  },
};
