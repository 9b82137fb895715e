// One whole visit to the one file, from disk: `node visit.mjs KIND EXECUTABLE MODULES ADDRESS FOLDER`
// prints what was seen as JSON.

import fs from "node:fs";
import path from "node:path";
import { opened, pause, started } from "./opened.mjs";

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
const until = async (holds) => {
  for (let tries = 0; tries < 300 && !(await holds()); tries += 1) await pause(100);
};
const there = async (selector) => page.waitForSelector(selector, { timeout: 60_000 });
const fill = async (blank, text) => {
  await page.click(`#blank-${blank}`);
  const field = await there("section.note input");
  await page.$eval("section.note input", (each) => each.select());
  await field.type(text);
  await page.keyboard.press("Enter");
  await settled();
};
const step = (name) => seen.steps.push(name);
const open = async (name) => {
  browser = await started(kind, executable, modules, profile(name), downloads);
  page = await opened(browser, address, seen.wrong);
  await there("#storage");
};

try {
  await open("first");
  seen.heading = await page.$eval("h1", (each) => each.innerText);
  seen.fetched = await page.evaluate(() => fetch("http://localhost/").catch((error) => error.name));
  seen.wrong = [];
  seen.first = await line();

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
  await pause(300);
  seen.copied = await page.$eval("#number-left", (each) => each.className);
  await page.click("#undo");
  await settled();
  seen.undone = await numbers();

  step("keep");
  await fill("name", 'disk <b>&"desk');
  await page.click("#keep");
  await until(async () => (await sign()).startsWith("Kept"));
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
  await page.$eval("#pad-circle", (each) => each.click());
  seen.pad = await page.$eval("#pad-said", (each) => each.innerText);
  await page.$eval("#chapter-felt form [type=submit]", (each) => each.click());
  await there("#chapter-felt .lines li");
  seen.felt = await page.$$eval("#chapter-felt .lines li", (all) => all.length);

  step("axe-core and a phone");
  const axe = fs.readFileSync(path.join(modules, "axe-core", "axe.min.js"), "utf8");
  const found = async (state) => {
    await page.evaluate(axe);
    const ids = await page.evaluate(async () =>
      (await globalThis.axe.run()).violations.map((each) => `${each.id}: ${each.nodes[0].html}`),
    );
    seen.axe.push(...ids.map((id) => `${state}: ${id}`));
    seen.wide.push(
      await page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    );
  };
  seen.axe = [];
  seen.wide = [];
  await found("desk");
  await page.setViewport({ width: 360, height: 740 });
  await settled();
  await found("desk on a phone");
  await page.screenshot({ path: path.join(folder, "phone.png") });
  await page.setViewport({ width: 1366, height: 900 });
  await settled();

  step("change and bring back");
  await page.$eval("#blank-fit", (each) => each.click());
  await there("section.note .way");
  await page.$$eval("section.note .way", (all) =>
    all.find((each) => each.innerText.includes("Whole tablet, whole display")).click(),
  );
  await settled();
  await page.$eval("#keep", (each) => each.click());
  await until(async () => (await sign()).startsWith("Kept"));
  seen.changed = await numbers();

  step("close and open again");
  await browser.close();
  await open("first");
  seen.found = await desks();
  await page.click(".desks a");
  await there("#desk");
  await there("html[data-ready]");
  seen.again = await numbers();
  await show("kept");
  await page.$$eval("#chapter-kept [data-do=back]", (all) => all.at(-1).click());
  await until(async () => String(await numbers()) !== String(seen.changed));
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
  await page.$eval('a[href$="/figures"]', (each) => each.click());
  await there(".figures");
  seen.figures = await page.$$eval(".figures td", (all) => all.length > 20);
  await page.$eval(".figures nav a", (each) => each.click());
  await there("#desk");
  await there("html[data-ready]");
  await page.waitForSelector("#sheet[data-of]");
  if (kind === "chromium") {
    const client = await page.createCDPSession();
    await client.send("Page.setDownloadBehavior", { behavior: "allow", downloadPath: downloads });
  }
  await page.pdf({ path: path.join(folder, "sheet.pdf"), preferCSSPageSize: true });
  seen.sheeted = await page.evaluate(() => document.body.classList.contains("sheeted"));
  await page.$eval("#answer a[href$='picture.png']", (each) => each.click());
  await page.$eval("#answer a[href$='profile.yaml']", (each) => each.click());

  step("save all");
  await page.click("#all");
  await there(".desks li");
  await page.$eval("a[href$='desks.zip']", (each) => each.click());
  const saved = () => fs.readdirSync(downloads).filter((name) => !/\.(part|crdownload)$/.test(name));
  await until(async () => saved().length >= 3);
  seen.saved = saved().sort();
  seen.told = await line();
  await page.screenshot({ path: path.join(folder, "saved.png") });

  step("another tab");
  const second = await browser.newPage();
  await second.goto(address);
  await second.waitForSelector('html[data-ready="elsewhere"]', { timeout: 60_000 });
  seen.elsewhere = await second.$eval("p", (each) => each.innerText);
  await browser.close();

  step("bring into a second profile");
  await open("second");
  seen.empty = await desks();
  const input = await page.$("#bring-file");
  await input.uploadFile(path.join(downloads, seen.saved.find((name) => name.endsWith(".zip"))));
  await there(".desks li");
  seen.brought = await desks();
  seen.says = await page.$eval("#brought", (each) => each.innerText);
  await page.click(".desks a");
  await there("#desk");
  await there("html[data-ready]");
  seen.moved = await numbers();
  seen.markup = await page.$$eval("h1 b, .where b", (all) => all.length);
  await page.screenshot({ path: path.join(folder, "moved.png") });
} catch (error) {
  seen.failed = String(error.stack ?? error);
  await page?.screenshot({ path: path.join(folder, "failed.png") }).catch(() => {});
} finally {
  await browser?.close().catch(() => {});
}
console.log(JSON.stringify(seen));
