// The whole job in Firefox, driven over WebDriver BiDi: `node desk_in_firefox.mjs FIREFOX MODULES
// ADDRESS WATCH` prints what was seen as JSON. WATCH is a script that tells when a page is quiet.

import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [, , firefox, modules, address, watch] = process.argv;
const require = createRequire(pathToFileURL(`${modules}/`));
const puppeteer = require("puppeteer-core");
const browser = await puppeteer.launch({
  browser: "firefox",
  executablePath: firefox,
  headless: true,
});
const seen = { wrong: [] };
try {
  const page = await browser.newPage();
  page.on("pageerror", (error) => seen.wrong.push(String(error)));
  page.on("console", (message) => message.type() === "error" && seen.wrong.push(message.text()));
  await page.evaluateOnNewDocument(watch);
  await page.setViewport({ width: 1366, height: 768 });
  const settled = () => page.evaluate(() => window.quiet());
  const numbers = () => page.$$eval("[data-copy]", (all) => all.map((each) => each.dataset.copy));
  await page.goto(address);
  await page.click("#new");
  await page.waitForSelector("html[data-ready]");
  await page.click("#blank-tablet");
  await page.waitForSelector("section.note input");
  await page.type("section.note input", "240x152mm");
  await page.keyboard.press("Enter");
  await settled();
  await page.click("#blank-displays");
  await page.waitForSelector("section.note input");
  await page.$eval("section.note input", (field) => field.select());
  await page.type("section.note input", "27in 2560x1440");
  await page.keyboard.press("Enter");
  await settled();
  seen.described = await numbers();
  const box = await (await page.$("#map-area-left")).boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 20, y, { steps: 4 });
  await page.mouse.move(x + 40, y, { steps: 4 });
  await page.mouse.up();
  await settled();
  seen.dragged = await numbers();
  seen.letter = await page.$$eval(".sentence", (all) =>
    all.map((each) => each.innerText).join(" "),
  );
  await page.click("#number-left");
  await settled();
  seen.copied = await page.$eval("#number-left", (each) => each.className);
  await page.click("#undo");
  await settled();
  seen.undone = await numbers();
  await page.click("#blank-name");
  await page.waitForSelector("section.note input");
  await page.type("section.note input", "firefox desk");
  await page.keyboard.press("Enter");
  await settled();
  await page.click("#keep");
  await settled();
  seen.kept = await page.$eval("#told", (each) => each.innerText);
  const stages = () =>
    page.$$eval(".stages li", (all) => all.map((each) => `${each.dataset.stage} ${each.className}`));
  seen.stages = [await stages()];

  // A teacher's view: the letter and the picture alone, by keys there and back; and the sheet that
  // a print would give.
  const isSeen = (selector) => page.$eval(selector, (each) => each.checkVisibility());
  await page.focus("#show");
  await page.keyboard.press("Enter");
  await settled();
  seen.shown = [
    await isSeen("#answer"),
    await isSeen("#picture"),
    await page.evaluate(() => Boolean(document.fullscreenElement)),
  ];
  await page.click("#leave");
  await settled();
  seen.left = [await isSeen("#answer"), await page.evaluate(() => document.activeElement.id)];
  await page.pdf();
  seen.sheet = await page.evaluate(() => [
    document.body.classList.contains("sheeted"),
    document.querySelectorAll("#sheet text").length > 10,
  ]);

  const show = async (chapter) => {
    await page.$eval(`#chapter-${chapter} > summary`, (each) => each.click());
    await page.waitForSelector(`#chapter-${chapter} .chapter:not([aria-busy]) > *`);
  };

  // The pad: a perfect circle, and one that is drawn.
  await show("strokes");
  await page.$eval("#pad-circle", (each) => each.click());
  seen.pad = await page.$eval("#pad-said", (each) => each.innerText);
  await page.$eval("#pad-sheet", (each) => each.scrollIntoView({ block: "center" }));
  const around = async (element, wide, high, corners) => {
    const at = await element.boundingBox();
    const points = Array.from({ length: 4 * 10 + 1 }, (_, index) => {
      if (!corners)
        return [Math.sin((index / 40) * 2 * Math.PI), -Math.cos((index / 40) * 2 * Math.PI)];
      const side = Math.min(Math.floor(index / 10), 3);
      const share = index / 10 - side;
      const [[x0, y0], [x1, y1]] = [corners[side], corners[side + 1]];
      return [x0 + (x1 - x0) * share, y0 + (y1 - y0) * share];
    }).map(([x, y]) => [
      at.x + at.width / 2 + (x * wide) / 2,
      at.y + at.height / 2 + (y * high) / 2,
    ]);
    await page.mouse.move(...points[0]);
    await page.mouse.down();
    for (const point of points.slice(1)) await page.mouse.move(...point);
    await page.mouse.up();
  };
  await around(await page.$("#pad-sheet"), 200, 200);
  seen.drawn = await page.$eval("#pad-said", (each) => each.innerText);

  // With the numbers typed in, the pad's own map is this one, and the strokes stay the hand's.
  await page.$eval("#typed-in", (each) => each.click());
  await settled();
  await page.waitForFunction(() =>
    document.querySelector("#chapter-strokes .pictures")?.innerText.includes("typed in"),
  );
  seen.stages.push(await stages());
  seen.next = await page.$eval("#next .step", (each) => each.id);
  seen.moved = await page.$eval("#pad-told", (each) => each.innerText);
  await page.$eval("#pad-clear", (each) => each.click());
  await page.$eval("#pad-circle", (each) => each.click());
  seen.believed = await page.$eval("#pad-said", (each) => each.innerText);
  await page.$eval("#not-typed", (each) => each.click());
  await settled();
  seen.stages.push(await stages());

  // Trace a card on the page: as large as the letter's map makes it.
  await show("took");
  await page.$eval("#chapter-took [data-trace]", (each) => each.click());
  await page.waitForSelector("#chapter-took dialog[open] canvas");
  const [wide, high] = [85.6 * (2560 / 240), 53.98 * (1440 / 135)].map((px) => px / 2);
  await around(await page.$("#chapter-took dialog canvas"), wide, high, [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
    [-1, -1],
  ]);
  await page.$eval("#chapter-took [data-measure-it]", (each) => each.click());
  await page.waitForSelector("#chapter-took .large");
  seen.traced = await page.$eval("#chapter-took .large", (each) => each.innerText);
} finally {
  await browser.close();
}
console.log(JSON.stringify(seen));
