// The program under test, served on a port of its own, and the folder that its files are in.
import { spawn, execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";

export const bin = path.resolve(process.env.HALFTURN_BIN || "build");
export const shots = path.join(bin, "page-screenshots");
mkdirSync(shots, { recursive: true });
export const folder = mkdtempSync(path.join(tmpdir(), "halfturn-page-"));

export const halfturn = (...words) => String(execFileSync(path.join(bin, "halfturn"), words));
// What the store holds, asked from outside while the program may be writing.
export const ask = (store, sql) => String(execFileSync("sqlite3", ["-readonly", "-cmd", ".timeout 5000", store, sql])).trim();
export const example = (kind) => halfturn("example", kind);
// A file of the given text in the tests' folder.
export function file(name, text) {
  const where = path.join(folder, name);
  writeFileSync(where, text);
  return where;
}

const children = new Set();
export function start(program, words, stdio) {
  const child = spawn(path.join(bin, program), words, { stdio });
  children.add(child);
  child.on("exit", () => children.delete(child));
  return child;
}

let stores = 0;
export const new_store = () => path.join(folder, `store${++stores}.db`);
// {child, address, store, end()}. `rig` is a file, the example's when none is given; `store` one of its own.
export async function serve(more = [], rig = file("rig.toml", example("rig")), store = new_store()) {
  const child = start("halfturn", ["serve", "--json", "--port", "0", "--rig", rig, "--store", store, ...more], ["ignore", "pipe", "inherit"]);
  const address = await new Promise((found, failed) => {
    let text = "";
    child.stdout.on("data", (bytes) => {
      text += bytes;
      if (text.includes("\n")) found(JSON.parse(text.split("\n")[0]).address);
    });
    child.on("exit", (code) => failed(new Error(`halfturn serve ended with ${code}`)));
  });
  return { child, address, store, end: () => new Promise((done) => { child.removeAllListeners("exit"); child.on("exit", done); child.kill("SIGTERM"); }) };
}

export function end_children() {
  for (const child of children) child.kill("SIGKILL");
}
export function clear_away() {
  end_children();
  rmSync(folder, { recursive: true, force: true });
}
