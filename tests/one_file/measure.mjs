// What the page costs in a browser, from one file, from a folder on a host or from its server:
// `node measure.mjs KIND EXECUTABLE MODULES ADDRESS FOLDER` prints seconds to the first page, the
// milliseconds from a changed blank to the picture, and megabytes of the browser, as JSON.

import fs from "node:fs";
import path from "node:path";
import { changes } from "./changes.mjs";
import { pause, processes, started } from "./opened.mjs";

const [kind, executable, modules, address, folder] = process.argv.slice(2);
const CHANGES = 50;

// The memory of a process and all below it, each shared page once (proc(5), smaps_rollup: Pss).
function memoryMb(pid) {
  let kb = 0;
  for (const each of processes(pid)) {
    try {
      const sums = fs.readFileSync(`/proc/${each}/smaps_rollup`, "latin1");
      kb += Number(/^Pss:\s+(\d+)/m.exec(sums)[1]);
    } catch {
      // It ended meanwhile.
    }
  }
  return Math.round(kb / 1024);
}

const browser = await started(kind, executable, modules, path.join(folder, "profile"), folder);
const { pid } = browser.process();
const page = await browser.newPage();
await page.setViewport({ width: 1366, height: 900 });
const emptyMb = memoryMb(pid);
const began = performance.now();
await page.goto(address);
await page.waitForSelector("main.start", { timeout: 120_000 });
const seconds = (performance.now() - began) / 1000;
await page.click("a[href$='/example']");
await page.waitForSelector("html[data-ready]");
await page.click("#blank-fit");
await page.waitForSelector("section.note [role=radio][aria-checked=true]");
const took = await page.evaluate(changes, CHANGES);
await pause(500);
const at = (share) => Math.round(took[Math.floor(share * (took.length - 1))] * 10) / 10;
const version = await browser.version();
console.log(
  JSON.stringify({ version, seconds, p50: at(0.5), p95: at(0.95), emptyMb, mb: memoryMb(pid) }),
);
await browser.close();
process.exit(0);
