// The one file where storage is blocked or full, and the file that is kept up to date:
// `node odd.mjs KIND EXECUTABLE MODULES ADDRESS HOSTED FOLDER` prints what was seen as JSON.
// HOSTED is the address of the folder on a host.

import fs from "node:fs";
import path from "node:path";
import { opened, pause, started } from "./opened.mjs";

const [kind, executable, modules, address, hosted, folder] = process.argv.slice(2);
const seen = { wrong: [] };
const line = (page) => page.$eval("#storage", (each) => [each.dataset.state, each.innerText]);
const until = async (holds) => {
  for (let tries = 0; tries < 300 && !(await holds()); tries += 1) await pause(100);
};
const example = async (page) => {
  await page.$eval('a[href="/e/example"]', (each) => each.click());
  await page.waitForSelector("#desk");
  await page.waitForSelector("html[data-ready]");
};
const keep = async (page) => {
  await page.$eval("#keep", (each) => each.click());
  await until(() => page.$eval("#told", (each) => each.innerText.includes("Kept")));
  return page.$eval("#told", (each) => each.innerText);
};

async function blocked() {
  const profile = path.join(folder, "blocked");
  // Nobody may store anything: the browsers' own settings for it.
  if (kind === "chromium") {
    fs.mkdirSync(path.join(profile, "Default"), { recursive: true });
    const settings = { profile: { default_content_setting_values: { cookies: 2 } } };
    fs.writeFileSync(path.join(profile, "Default", "Preferences"), JSON.stringify(settings));
  }
  const browser = await started(kind, executable, modules, profile, folder, {
    "network.cookie.cookieBehavior": 2,
  });
  const page = await opened(browser, address, seen.wrong);
  await page.waitForSelector("#storage span");
  await example(page);
  seen.blocked = [await keep(page), ...(await line(page))];
  await browser.close();
}

// A browser of this kind lets a quota be set for an origin that has a name.
async function full() {
  const browser = await started(kind, executable, modules, path.join(folder, "full"), folder);
  const page = await opened(browser, "about:blank", []);
  const client = await page.createCDPSession();
  const quota = { origin: new URL(hosted).origin, quotaSize: 20_000 };
  await client.send("Storage.overrideQuotaForOrigin", quota);
  await page.goto(hosted);
  await page.waitForSelector("#storage span", { timeout: 120_000 });
  await example(page);
  seen.full = [await keep(page)];
  const change = async (note) => {
    const { root, send } = globalThis.evenstroke.forPage();
    const body = JSON.stringify({ commit: true, change: { note } });
    const at = `${root}/desk/${document.getElementById("desk").dataset.id}/0/answer`;
    const headers = { "Content-Type": "application/json" };
    return (await send(at, { method: "POST", headers, body })).status;
  };
  for (let turn = 0; turn < 40 && (await line(page))[0] === "stored"; turn += 1)
    seen.full[1] = await page.evaluate(change, "x".repeat(3000) + turn);
  seen.full.push(...(await line(page)));
  await browser.close();
}

// Where a page may write to a file: one that was chosen is written again after each change.
async function upToDate() {
  const browser = await started(kind, executable, modules, path.join(folder, "file"), folder);
  const page = await opened(browser, address, seen.wrong);
  await example(page);
  await keep(page);
  await page.evaluate(() => {
    globalThis.written = [];
    const out = { write: async (bytes) => written.push(bytes.length), close: async () => {} };
    globalThis.showSaveFilePicker = async ({ suggestedName }) => ({
      name: suggestedName,
      createWritable: async () => out,
    });
    [...document.querySelectorAll("#storage button")].at(-1).click();
  });
  await until(() => page.evaluate(() => written.length === 1));
  seen.chosen = await line(page);
  await page.$eval("#blank-fit", (each) => each.click());
  await page.waitForSelector("section.note .way");
  await page.$$eval("section.note .way", (all) => all.at(-1).click());
  await until(() => page.evaluate(() => written.length === 2));
  seen.written = await page.evaluate(() => written);
  await browser.close();
}

try {
  await blocked();
  if (kind === "chromium") {
    await full();
    await upToDate();
  }
} catch (error) {
  seen.failed = String(error.stack ?? error);
}
console.log(JSON.stringify(seen));
process.exit(0);
