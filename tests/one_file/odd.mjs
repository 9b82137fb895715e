// The one file where storage is blocked or full or a window is private, and the file that is kept
// up to date: `node odd.mjs KIND EXECUTABLE MODULES ADDRESS HOSTED FOLDER` prints what was seen as
// JSON. HOSTED is the address of the folder on a host.

import { randomBytes } from "node:crypto";
import fs from "node:fs";
import path from "node:path";
import { downloadsTo, opened, savedIn, started, until } from "./opened.mjs";

const [kind, executable, modules, address, hosted, folder] = process.argv.slice(2);
const seen = { wrong: [] };
const line = (page) => page.$eval("#storage", (each) => [each.dataset.state, each.innerText]);
const isReady = async (page) => {
  await page.waitForSelector("#desk");
  await page.waitForSelector("html[data-ready]");
};
const example = async (page) => {
  await page.$eval('a[href="/e/example"]', (each) => each.click());
  await isReady(page);
};
const keep = async (page) => {
  await page.$eval("#keep", (each) => each.click());
  const told = () => page.$eval("#told", (each) => each.innerText);
  await until("kept", async () => (await told()).startsWith("Kept"));
  return told();
};
// What the page does where a window is about to be closed: whether it asks once more.
const asksToStay = (page) =>
  page.evaluate(() => !dispatchEvent(new Event("beforeunload", { cancelable: true })));
const choose = async (page, index) => {
  await page.$eval("#blank-fit", (each) => each.click());
  await page.waitForSelector("section.note .way");
  await page.$$eval("section.note .way", (all, which) => all.at(which).click(), index);
};

// The desk on the page is kept as anywhere; all desks are saved as a file, the way out of this visit.
async function visited(browser, page, name) {
  const downloads = path.join(folder, `${name}-downloads`);
  await downloadsTo(page, kind, downloads);
  const kept = await keep(page);
  const stays = await asksToStay(page);
  const [state, says] = await line(page);
  await page.$eval("#all", (each) => each.click());
  await page.waitForSelector(".start .desks li");
  await page.$eval("a[href$='desks.zip']", (each) => each.click());
  await until("the archive", () => savedIn(downloads).length > 0);
  seen[name] = { kept, state, says, stays, saved: savedIn(downloads) };
  await browser.close();
}

function downloadsOf(name) {
  const downloads = path.join(folder, `${name}-downloads`);
  fs.mkdirSync(downloads, { recursive: true });
  return downloads;
}

// Nobody may store anything: the browsers' own settings for it.
async function blocked() {
  const profile = path.join(folder, "blocked");
  if (kind === "chromium") {
    fs.mkdirSync(path.join(profile, "Default"), { recursive: true });
    const settings = { profile: { default_content_setting_values: { cookies: 2 } } };
    fs.writeFileSync(path.join(profile, "Default", "Preferences"), JSON.stringify(settings));
  }
  const none = { "network.cookie.cookieBehavior": 2 };
  const downloads = downloadsOf("blocked");
  const browser = await started(kind, executable, modules, profile, downloads, none);
  const page = await opened(browser, address, seen.wrong);
  await example(page);
  await visited(browser, page, "blocked");
}

// A window that forgets all when it closes.
async function privately() {
  const downloads = downloadsOf("private");
  const always = { "browser.privatebrowsing.autostart": true };
  const profile = path.join(folder, "private");
  const browser = await started(kind, executable, modules, profile, downloads, always);
  const window = kind === "chromium" ? await browser.createBrowserContext() : browser;
  const page = await opened(window, address, seen.wrong);
  await example(page);
  await visited(browser, page, "private");
}

// One kind lets a quota be set for an origin that has a name, the other for all pages together.
async function full() {
  const downloads = downloadsOf("full");
  const little = { "dom.quotaManager.temporaryStorage.fixedLimit": 250 };
  const profile = path.join(folder, "full");
  const browser = await started(kind, executable, modules, profile, downloads, little);
  const page = await opened(browser, "about:blank", []);
  if (kind === "chromium") {
    const client = await page.createCDPSession();
    const quota = { origin: new URL(hosted).origin, quotaSize: 20_000 };
    await client.send("Storage.overrideQuotaForOrigin", quota);
  }
  await page.goto(hosted);
  await page.waitForSelector("#storage span");
  await example(page);
  const change = async (from, note) => {
    const { root, send } = globalThis.evenstroke.forPage();
    const at = from ?? `${root}/desk/${document.getElementById("desk").dataset.id}/0`;
    const body = JSON.stringify({ commit: true, change: { note } });
    const headers = { "Content-Type": "application/json" };
    const reply = await send(`${at}/answer`, { method: "POST", headers, body });
    return [reply.status, (await reply.json()).address];
  };
  // Letters by chance, as what is stored may be compressed; each a step after the last.
  let at = null;
  for (let turn = 0; turn < 300 && (await line(page))[0] === "stored"; turn += 1)
    [seen.status, at] = await page.evaluate(change, at, randomBytes(1500).toString("hex"));
  seen.filled = await line(page);
  // What is kept takes less room than its steps, and may be stored again.
  await visited(browser, page, "full");
}

// Where a page may write to a file: one that was chosen once is written again after each change,
// and, after one more click, in the next visit. The file is a real one of the browser's own; only
// the window to choose it, and what a person answers when asked, are put in their place.
async function upToDate() {
  const profile = path.join(folder, "file");
  const browser = await started(kind, executable, modules, profile, downloadsOf("file"));
  const page = await opened(browser, "about:blank", seen.wrong);
  await page.evaluateOnNewDocument(() => {
    globalThis.mine = async () =>
      (await navigator.storage.getDirectory()).getFileHandle("my desks.zip", { create: true });
    globalThis.showSaveFilePicker = globalThis.mine;
    let may = "prompt";
    FileSystemHandle.prototype.queryPermission = async () => may;
    FileSystemHandle.prototype.requestPermission = async () => (may = "granted");
  });
  const size = () => page.evaluate(async () => (await (await mine()).getFile()).size);
  const written = (before) => until("written", async () => (await size()) !== before);
  await page.goto(hosted);
  await page.waitForSelector("#storage span");
  await example(page);
  await keep(page);
  await page.$$eval("#storage button", (all) => all.at(-1).click());
  await written(0);
  await until("said", async () => (await line(page))[1].includes("up to date"));
  seen.chosen = await line(page);
  const first = await size();
  await choose(page, -1);
  await written(first);
  // The next visit asks once.
  await page.goto("about:blank");
  await page.goto(hosted);
  await page.waitForSelector(".desks a");
  seen.next = await line(page);
  const second = await size();
  await page.$eval(".desks a", (each) => each.click());
  await isReady(page);
  await choose(page, 0);
  await page.$$eval("#storage button", (all) => all[0].click());
  await written(second);
  await until("said", async () => (await line(page))[1].includes("up to date"));
  seen.file = await page.evaluate(async () => {
    const file = await (await mine()).getFile();
    return [...new Uint8Array(await file.slice(0, 4).arrayBuffer())];
  });
  await browser.close();
}

try {
  await blocked();
  await privately();
  await full();
  if (kind === "chromium") await upToDate();
} catch (error) {
  seen.failed = String(error.stack ?? error);
}
console.log(JSON.stringify(seen));
process.exit(0);
