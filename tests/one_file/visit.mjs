// One whole visit to the one file, from disk: `node visit.mjs KIND EXECUTABLE MODULES ADDRESS FOLDER`
// prints what was seen as JSON.

import fs from "node:fs";
import path from "node:path";
import {
  DARK,
  FORCED,
  downloadsTo,
  lookOf,
  opened,
  pause,
  savedIn,
  started,
  until,
} from "./opened.mjs";

const [kind, executable, modules, address, folder] = process.argv.slice(2);
const seen = { wrong: [], steps: [] };
const downloads = path.join(folder, "downloads");
fs.mkdirSync(downloads, { recursive: true });
const profile = (name) => path.join(folder, name);
let browser;
let page;

const numbers = () =>
  page.$$eval("#answer [data-copy]", (all) => all.map((each) => each.dataset.copy));
const sign = () => page.$eval("#told", (each) => each.innerText);
const line = () => page.$eval("#storage", (each) => each.innerText);
const desks = () =>
  page.$$eval(".desks li", (all) => all.map((each) => each.innerText.split("\n")[0]));
const settled = async () => {
  await pause(250);
  await page.waitForSelector('#desk[data-asking="0"]');
};
const there = async (selector) => page.waitForSelector(selector);
// A desk that is kept as it stands offers to keep nothing.
const kept = () =>
  until("kept", async () => (await sign()).startsWith("Kept") && !(await page.$("#keep")));
const saved = () => savedIn(downloads).sort();
// A click by the page itself reaches what a picture or a line covers.
const press = (selector) => page.$eval(selector, (each) => each.click());
const filled = () => page.evaluate(() => Boolean(document.fullscreenElement));
const isReady = async () => {
  await there("#desk");
  await there("html[data-ready]");
};
const desk = async (selector) => {
  await press(selector);
  await isReady();
};
const fill = async (blank, text) => {
  await page.click(`#blank-${blank}`);
  const field = await there("section.note input");
  await page.$eval("section.note input", (each) => each.select());
  await field.type(text);
  await page.keyboard.press("Enter");
  await settled();
};
const step = (name) => seen.steps.push(name);
const open = async (name, look = {}) => {
  const more = { ...(look.dark ? DARK : {}), ...(look.forced ? FORCED : {}) };
  browser = await started(kind, executable, modules, profile(name), downloads, more);
  page = await opened(browser, address, seen.wrong);
  await lookOf(page, kind, look);
  await downloadsTo(page, kind, downloads);
  await there("#storage");
};
const hold = async (key, letter) => {
  await page.keyboard.down(key);
  await page.keyboard.press(letter);
  await page.keyboard.up(key);
};

const axe = fs.readFileSync(path.join(modules, "axe-core", "axe.min.js"), "utf8");
seen.axe = [];
const judged = async (state) => {
  await page.evaluate(axe);
  const ids = await page.evaluate(async () =>
    (await globalThis.axe.run()).violations.map((each) => `${each.id}: ${each.nodes[0].html}`),
  );
  seen.axe.push(...ids.map((id) => `${state}: ${id}`));
  await page.screenshot({ path: path.join(folder, `${state}.png`) });
};
// How much wider than the window the page is, at widths of telephones, tablets and windows.
seen.wide = {};
const widths = async (state) => {
  for (const width of [320, 360, 412, 768, 1366]) {
    await page.setViewport({ width, height: width < 768 ? 740 : 900 });
    await pause(250);
    const more = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    seen.wide[`${state} ${width}`] = more;
    if (width === 360) await judged(`${state}-360`);
  }
};

// A file that is dropped on an element: by the system's own drag where a driver can make one, else
// by its events. Gives whether the page took the drop, or would have left for the file.
async function drop(selector, file, type) {
  const box = await (await page.$(selector)).boundingBox();
  const [x, y] = [Math.round(box.x + Math.min(box.width / 2, 300)), Math.round(box.y + 20)];
  await page.evaluate(() => {
    globalThis.dropped = null;
    const watch = (event) => setTimeout(() => (globalThis.dropped = event.defaultPrevented), 0);
    addEventListener("drop", watch, { capture: true, once: true });
  });
  if (kind === "chromium") {
    const client = await page.createCDPSession();
    const data = { items: [], files: [file], dragOperationsMask: 1 };
    for (const each of ["dragEnter", "dragOver", "drop"])
      await client.send("Input.dispatchDragEvent", { type: each, x, y, data });
  } else {
    const bytes = [...fs.readFileSync(file)];
    const facts = { selector, bytes, type, name: path.basename(file) };
    await page.evaluate(({ selector: at, bytes: content, type: mime, name }) => {
      const dataTransfer = new DataTransfer();
      dataTransfer.items.add(new File([new Uint8Array(content)], name, { type: mime }));
      const init = { dataTransfer, bubbles: true, cancelable: true };
      for (const each of ["dragenter", "dragover", "drop"])
        document.querySelector(at).dispatchEvent(new DragEvent(each, init));
    }, facts);
  }
  await until("dropped", () => page.evaluate(() => globalThis.dropped !== null));
  return page.evaluate(() => globalThis.dropped);
}

try {
  await open("first");
  seen.heading = await page.$eval("h1", (each) => each.innerText);
  seen.fetched = await page.evaluate(() => fetch("http://localhost/").catch((error) => error.name));
  seen.wrong = [];
  seen.first = await line();
  await judged("empty");
  await widths("empty");

  step("describe");
  await page.click("#new");
  await there("html[data-ready]");
  await fill("tablet", "240x152mm");
  await fill("displays", "27in 2560x1440");
  seen.described = await numbers();

  step("pull");
  const box = await (await page.$("#map-area-left")).boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 20, y, { steps: 4 });
  await page.mouse.move(x + 40, y, { steps: 4 });
  await page.mouse.up();
  await settled();
  seen.pulled = await numbers();
  await page.click("#number-left");
  await there("#number-left.copied");
  await page.click("#blank-name");
  await (await there("section.note input")).focus();
  await hold("Control", "v");
  seen.pasted = await page.$eval("section.note input", (each) => each.value);
  await page.click("#undo");
  await settled();
  seen.undone = await numbers();

  step("keep");
  await fill("name", 'disk <b>&"desk');
  await page.click("#keep");
  await kept();
  seen.kept = await sign();
  seen.asked = await line();

  step("chapters");
  const show = async (chapter) => {
    await page.$eval(`#chapter-${chapter} > summary`, (each) => each.click());
    await there(`#chapter-${chapter} .chapter:not([aria-busy]) > *`);
  };
  const chapters = await page.$$eval("details[data-chapter]", (all) =>
    all.map((each) => each.dataset.chapter),
  );
  for (const name of chapters) await show(name);
  seen.chapters = chapters;
  seen.took = await page.$eval("#chapter-took .chapter", (each) => each.innerText);
  await press("#pad-circle");
  seen.pad = await page.$eval("#pad-said", (each) => each.innerText);
  await press("#pad-keep-svg");
  await press("#pad-keep-json");
  await press("#chapter-felt form [type=submit]");
  await there("#chapter-felt .lines li");
  seen.felt = await page.$eval("#chapter-felt .lines", (notes) => notes.children.length);

  step("axe-core and the widths of telephones");
  await judged("desk");
  await widths("desk");

  step("full screen, a picture to copy");
  await page.click("[data-act=show]");
  await until("full", filled);
  seen.large = await page.$eval("body", (each) => each.classList.contains("shown"));
  await page.keyboard.press("Escape");
  await until("left", async () => !(await filled()));
  await page.click("#answer [data-act=copy]");
  await there("#answer [data-act=copy].copied");

  step("change and bring back");
  await press("#blank-fit");
  await there("section.note .way");
  await page.$$eval("section.note .way", (all) =>
    all.find((each) => each.innerText.includes("Whole tablet, whole display")).click(),
  );
  await settled();
  await press("#keep");
  await kept();
  seen.changed = await numbers();

  step("close and open again");
  await browser.close();
  await open("first");
  seen.found = await desks();
  await desk(".desks a");
  seen.again = await numbers();
  await show("kept");
  await page.$$eval("#chapter-kept .setting", (all) => all.at(-1).click());
  await there("#chapter-kept [data-back]");
  await press("#chapter-kept [data-back]");
  await until("other numbers", async () => String(await numbers()) !== String(seen.changed));
  seen.back = await numbers();

  step("back and forward");
  await page.goBack();
  await settled();
  await page.goForward();
  await settled();
  seen.forward = await numbers();
  await page.reload();
  await there("html[data-ready]");
  seen.reloaded = await numbers();

  step("figures, picture, print");
  await press('a[href$="/figures"]');
  await there(".figures");
  seen.figures = await page.$$eval(".figures td", (all) => all.length > 20);
  await desk(".figures nav a");
  await page.waitForSelector("#sheet[data-of]");
  await page.pdf({ path: path.join(folder, "sheet.pdf"), preferCSSPageSize: true });
  seen.sheeted = await page.evaluate(() => document.body.classList.contains("sheeted"));
  await press("#answer a[href$='picture.png']");
  await press("#answer a[href$='profile.yaml']");
  await until("four files", () => saved().length >= 4);

  step("save all");
  await page.click("#all");
  await there(".desks li");
  await press("a[href$='desks.zip']");
  await until("the archive", () => saved().some((name) => name.endsWith(".zip")));
  seen.saved = saved();
  seen.told = await line();
  await judged("desks");

  step("more than a week later");
  await page.evaluate(async () => {
    const done = (asked) => new Promise((resolve) => (asked.onsuccess = () => resolve(asked.result)));
    const database = await done(indexedDB.open("evenstroke", 1));
    const notes = database.transaction("notes", "readwrite").objectStore("notes");
    await done(notes.put(Date.now() - 8 * 24 * 3600 * 1000, "saved"));
    database.close();
  });
  await desk(".desks a");
  await press("#keep");
  await settled();
  seen.soon = await line();
  await page.reload();
  await isReady();
  await press("#blank-fit");
  await there("section.note .way");
  await page.$$eval("section.note .way", (all) => all.at(-1).click());
  await settled();
  await press("#keep");
  await until("asked", async () => (await line()).includes("for a week"));

  step("another tab");
  const second = await browser.newPage();
  await second.goto(address);
  await second.waitForSelector('html[data-ready="elsewhere"]');
  seen.elsewhere = await second.$eval("p", (each) => each.innerText);
  await page.close();
  await second.waitForSelector(".desks li");
  await browser.close();

  step("bring into a second profile, which is dark");
  const archive = path.join(
    downloads,
    seen.saved.find((name) => name.endsWith(".zip")),
  );
  await open("second", { dark: true });
  seen.empty = await desks();
  await (await page.$("#bring-file")).uploadFile(archive);
  await there(".desks li");
  seen.brought = await desks();
  seen.says = await page.$eval("#brought", (each) => each.innerText);
  await judged("dark-desks");
  const already = async () => (await page.$eval("#brought", (each) => each.innerText)) !== seen.says;
  seen.droppedArchive = await drop("main.start", archive, "application/zip");
  await until("already here", already);
  seen.already = await page.$eval("#brought", (each) => each.innerText);
  await desk(".desks a");
  seen.moved = await numbers();
  seen.markup = await page.$$eval("h1 b, .where b", (all) => all.length);
  const picture = path.join(
    downloads,
    seen.saved.find((name) => name.endsWith(".png")),
  );
  seen.droppedBeside = await drop("#letter", picture, "image/png");
  seen.stays = await numbers();
  await judged("dark-desk");

  step("touch");
  // The pixels of the screen that this browser says it has, and a window as large.
  const [wide, high] = await page.evaluate(() => [screen.width, screen.height]);
  await page.setViewport({ width: wide, height: high });
  await fill("displays", `27in ${wide}x${high}`);
  seen.screen = [wide, high];
  const typed = (await numbers()).map(Number);
  await show("took");
  await (await page.$("#chapter-took [data-touch]")).focus();
  await page.keyboard.press("Enter");
  await there("dialog.quiet[open] .where circle");
  seen.full = await filled();
  const touches = await page.$$eval("dialog.quiet .where circle", (all) =>
    all.map((each) => [each.cx.baseVal.value, each.cy.baseVal.value]),
  );
  seen.crosses = [];
  for (const [x, y] of touches) {
    // A driver that does what was typed, left, top, width, height: the pen is simulated by events.
    const place = [((x - typed[0]) / typed[2]) * wide, ((y - typed[1]) / typed[3]) * high];
    const number = await page.evaluate((px) => {
      const dialog = document.querySelector("dialog.quiet");
      const [clientX, clientY] = px.map((each) => Math.floor(each) / devicePixelRatio);
      const facts = { clientX, clientY, screenX: clientX, screenY: clientY };
      const init = { ...facts, pointerType: "pen", bubbles: true, cancelable: true };
      const asked = dialog.querySelector(".which").textContent;
      dialog.dispatchEvent(new PointerEvent("pointerdown", init));
      dialog.dispatchEvent(new PointerEvent("pointerup", init));
      return asked;
    }, place);
    seen.crosses.push(number);
    // Two touches within a quarter of a second are one that bounced.
    await pause(300);
  }
  await there(".touch-verdict");
  seen.verdict = await page.$eval(".touch-verdict", (each) => each.innerText);
  seen.left = !(await filled());
  await browser.close();

  step("few colours of one's own");
  await open("second", { forced: true });
  await judged("forced-desks");
  await desk(".desks a");
  await judged("forced-desk");
} catch (error) {
  seen.failed = String(error.stack ?? error);
  await page?.screenshot({ path: path.join(folder, "failed.png") }).catch(() => {});
} finally {
  await browser?.close().catch(() => {});
}
console.log(JSON.stringify(seen));
