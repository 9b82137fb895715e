// The touch test in Firefox, driven over WebDriver BiDi: `node touch_in_firefox.mjs FIREFOX MODULES
// ADDRESS PLACES` touches the places (JSON, px of the screen) and prints what was seen.

import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [, , firefox, modules, address, places] = process.argv;
const puppeteer = createRequire(pathToFileURL(`${modules}/`))("puppeteer-core");
const browser = await puppeteer.launch({
  browser: "firefox",
  executablePath: firefox,
  headless: true,
  protocolTimeout: 120000,
});
const seen = { wrong: [] };
try {
  const page = await browser.newPage();
  page.setDefaultTimeout(60000);
  page.on("pageerror", (error) => seen.wrong.push(String(error)));
  page.on("console", (message) => message.type() === "error" && seen.wrong.push(message.text()));
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  await page.goto(address);
  await page.waitForSelector("html[data-ready]");
  await page.focus("#chapter-took > summary");
  await page.keyboard.press("Enter");
  await page.waitForSelector("#chapter-took [data-touch]");
  await page.focus("#chapter-took [data-touch]");
  await page.keyboard.press("Enter");
  await page.waitForSelector("dialog.quiet[open]");
  seen.full = await page.evaluate(() => Boolean(document.fullscreenElement));
  seen.asked = [];
  for (const [x, y] of JSON.parse(places)) {
    // The pen is simulated by events: BiDi's own pointers are mice here.
    const asked = await page.evaluate(
      ([x_px, y_px]) => {
        const dialog = document.querySelector("dialog.quiet");
        const [clientX, clientY] = [x_px / devicePixelRatio, y_px / devicePixelRatio];
        const facts = {
          pointerType: "pen",
          clientX,
          clientY,
          screenX: clientX + mozInnerScreenX,
          screenY: clientY + mozInnerScreenY,
          bubbles: true,
          cancelable: true,
        };
        const number = dialog.querySelector(".which").textContent;
        dialog.dispatchEvent(new PointerEvent("pointerdown", facts));
        dialog.dispatchEvent(new PointerEvent("pointerup", facts));
        return number;
      },
      [x, y],
    );
    seen.asked.push(asked);
    await pause(300);
  }
  await page.waitForSelector(".touch-verdict");
  seen.said = await page.$eval(".touch-verdict", (each) => each.innerText);
  seen.sign = await page.$eval(".sign", (each) => each.innerText);
  seen.next = await page.$eval("#next .step", (each) => each.id);
} finally {
  await browser.close();
}
console.log(JSON.stringify(seen));
