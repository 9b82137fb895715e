// A browser with the one file: started, opened, killed. For visit.mjs and the study of kills.

import { createRequire } from "node:module";
import fs from "node:fs";
import path from "node:path";

const FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync"];

export const pause = (ms) => new Promise((done) => setTimeout(done, ms));

// Until something holds, however busy the machine is; where it never does, `what` is said.
const PATIENCE_MS = 180_000;
export async function until(what, holds) {
  const ends = Date.now() + PATIENCE_MS;
  while (!(await holds())) {
    if (Date.now() > ends) throw new Error(`it did not come: ${what}`);
    await pause(100);
  }
}

export async function started(kind, executable, modules, profile, downloads, more = {}) {
  const puppeteer = createRequire(path.join(modules, "x.js"))("puppeteer-core");
  fs.mkdirSync(profile, { recursive: true });
  // A machine may have other things to do.
  const patience = { timeout: PATIENCE_MS, protocolTimeout: 2 * PATIENCE_MS };
  if (kind === "firefox")
    return puppeteer.launch({
      ...patience,
      browser: "firefox",
      executablePath: executable,
      headless: true,
      userDataDir: profile,
      extraPrefsFirefox: {
        // As people have it; drivers turn it off.
        "security.fileuri.strict_origin_policy": true,
        "browser.download.folderList": 2,
        "browser.download.dir": downloads,
        "browser.download.useDownloadDir": true,
        // While that panel is open no page may fill the screen.
        "browser.download.alwaysOpenPanel": false,
        "browser.sessionstore.resume_from_crash": false,
        "toolkit.startup.max_resumed_crashes": -1,
        ...more,
      },
    });
  return puppeteer.launch({
    ...patience,
    executablePath: executable,
    headless: true,
    userDataDir: profile,
    args: FLAGS,
    // Through a pipe, since there may be no network at all.
    pipe: true,
  });
}

// A page with the file, when its first page is there; `wrong` takes what goes wrong in it.
export async function opened(browser, address, wrong, { viewport } = {}) {
  const page = await browser.newPage();
  page.setDefaultTimeout(PATIENCE_MS);
  await page.setViewport(viewport ?? { width: 1366, height: 900 });
  page.on("pageerror", (error) => wrong.push(String(error)));
  page.on("console", (message) => message.type() === "error" && wrong.push(message.text()));
  await page.goto(address);
  if (!address.startsWith("about:"))
    await page.waitForSelector("#storage, html[data-ready]");
  return page;
}

// A browser asks where files go in words of its own kind.
export async function downloadsTo(page, kind, folder) {
  if (kind !== "chromium") return; // told when it was started
  const client = await page.createCDPSession();
  await client.send("Page.setDownloadBehavior", { behavior: "allow", downloadPath: folder });
}

export const savedIn = (folder) =>
  fs.readdirSync(folder).filter((name) => !/\.(part|crdownload)$/.test(name) && name[0] !== ".");

// As a system or a person has it: dark, or with few colours of one's own (CSS Color Adjustment 3).
export async function lookOf(page, kind, { dark = false, forced = false }) {
  if (kind !== "chromium") return; // told by settings when it was started
  const client = await page.createCDPSession();
  await client.send("Emulation.setEmulatedMedia", {
    features: [
      { name: "prefers-color-scheme", value: dark ? "dark" : "light" },
      { name: "forced-colors", value: forced ? "active" : "none" },
    ],
  });
}
export const DARK = { "layout.css.prefers-color-scheme.content-override": 0 };
export const FORCED = { "browser.display.document_color_use": 2 };

// A process and all below it (Linux, proc(5): the parent stands second after the command's name).
export function processes(pid) {
  const parents = new Map();
  for (const each of fs.readdirSync("/proc").filter((name) => /^\d+$/.test(name))) {
    try {
      const stat = fs.readFileSync(`/proc/${each}/stat`, "latin1");
      parents.set(Number(each), Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[1]));
    } catch {
      // It ended meanwhile.
    }
  }
  const found = [pid];
  for (const above of found)
    for (const [child, parent] of parents) if (parent === above) found.push(child);
  return found;
}

// The whole tree of processes at once, as a lost battery would end it.
export async function killed(browser) {
  for (const each of processes(browser.process().pid)) {
    try {
      process.kill(each, "SIGKILL");
    } catch {
      // It ended with another.
    }
  }
  await pause(300);
}

export function unlocked(profile) {
  for (const name of ["SingletonLock", "SingletonCookie", "SingletonSocket", "lock", ".parentlock"])
    fs.rmSync(path.join(profile, name), { force: true });
}
