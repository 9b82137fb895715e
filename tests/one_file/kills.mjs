// How often a keep that was answered is lost when the whole browser is killed at once. Run by hand:
// `node kills.mjs KIND EXECUTABLE MODULES ADDRESS FOLDER TIMES`.

import path from "node:path";
import { killed, opened, started, unlocked } from "./opened.mjs";

const [kind, executable, modules, address, folder, times] = process.argv.slice(2);
const profile = path.join(folder, `kills-${kind}`);
const counts = { kind, kills: 0, found: 0, lost: 0 };
let last = null;

// In the page, as its own scripts ask: a desk of this name, kept; the kill follows its answer.
async function keep(name) {
  const { root, send } = globalThis.evenstroke.forPage();
  const ask = async (where, body) => {
    const headers = { "Content-Type": "application/json" };
    const reply = await send(where, { method: "POST", headers, body: JSON.stringify(body) });
    return reply.json();
  };
  let { address } = await ask(`${root}/new`, { display: "1920x1080" });
  const change = { tablet: "240x152mm", displays: ["27in 2560x1440"], name };
  ({ address } = await ask(`${address}/answer`, { commit: true, change }));
  return (await ask(`${address}/keep`, {})).says;
}

for (let turn = 0; turn <= Number(times); turn += 1) {
  const browser = await started(kind, executable, modules, profile, folder);
  const page = await opened(browser, address, []);
  await page.waitForSelector("#storage span", { timeout: 120_000 });
  const names = await page.$$eval(".desks b", (all) => all.map((each) => each.innerText));
  if (last !== null) {
    const isThere = names.includes(last);
    counts[isThere ? "found" : "lost"] += 1;
    if (!isThere) console.error(`lost: ${last} of ${names.length}`);
  }
  if (turn === Number(times)) {
    await browser.close();
    break;
  }
  // A name that no earlier run with this folder gave.
  last = `desk ${Date.now()}`;
  const says = await page.evaluate(keep, last);
  if (!says?.startsWith("Kept")) throw new Error(`not kept: ${says}`);
  await killed(browser);
  counts.kills += 1;
  unlocked(profile);
  if (turn % 10 === 9) console.error(JSON.stringify(counts));
}
console.log(JSON.stringify(counts));
process.exit(0);
