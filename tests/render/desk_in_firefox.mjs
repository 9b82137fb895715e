// The whole job in Firefox, driven over WebDriver BiDi: `node desk_in_firefox.mjs FIREFOX MODULES ADDRESS` prints what was seen as JSON.

import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [, , firefox, modules, address] = process.argv;
const require = createRequire(pathToFileURL(`${modules}/`));
const puppeteer = require("puppeteer-core");
const browser = await puppeteer.launch({ browser: "firefox", executablePath: firefox, headless: true });
const seen = { wrong: [] };
try {
  const page = await browser.newPage();
  page.on("pageerror", (error) => seen.wrong.push(String(error)));
  page.on("console", (message) => message.type() === "error" && seen.wrong.push(message.text()));
  await page.setViewport({ width: 1366, height: 768 });
  const settled = async () => {
    await new Promise((done) => setTimeout(done, 250));
    await page.waitForSelector('#desk[data-asking="0"]');
  };
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
  seen.letter = await page.$$eval(".sentence", (all) => all.map((each) => each.innerText).join(" "));
  await page.click("#number-0");
  await settled();
  seen.copied = await page.$eval("#number-0", (each) => each.className);
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
  seen.kept = await page.$eval(".sign", (each) => each.innerText);
} finally {
  await browser.close();
}
console.log(JSON.stringify(seen));
