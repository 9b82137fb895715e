// The whole loop, from nothing to how it felt, by mouse, by keys alone and by fingers, in windows of
// several sizes: `node loop.mjs BROWSER PROGRAM MODULES ADDRESS WATCH RUNS` prints what was seen as
// JSON. RUNS (JSON) is a list of { hand, width, height, name }. Only the pen on the crosses is
// simulated by events, as no driver has one.

import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [, , kind, program, modules, address, watch, runs] = process.argv;
const puppeteer = createRequire(pathToFileURL(`${modules}/`))("puppeteer-core");
const browser = await puppeteer.launch({
  browser: kind === "firefox" ? "firefox" : "chrome",
  executablePath: program,
  headless: true,
  protocolTimeout: 180000,
  args: kind === "firefox" ? [] : ["--no-sandbox"],
  extraPrefsFirefox: { "dom.w3c_touch_events.enabled": 1 },
});
const PAUSE_MS = 270;
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const wrong = [];
const seen = [];

// What a hand does: it presses an element and pulls one sideways. `presses` counts keys, clicks or
// taps.
function handOf(hand, page) {
  const counted = { presses: 0 };
  const middle = async (selector) => {
    await page.waitForSelector(selector);
    await page.$eval(selector, (each) =>
      each.scrollIntoView({ block: "center", inline: "center", behavior: "instant" }),
    );
    await page.evaluate(() => window.quiet());
    // A blank may begin in one line and end in the next.
    return page.$eval(selector, (each) => {
      const boxes = [...each.getClientRects()].sort((one, other) => other.width - one.width);
      return [boxes[0].x + boxes[0].width / 2, boxes[0].y + boxes[0].height / 2];
    });
  };
  const focused = (selector) =>
    page.evaluate((wanted) => document.activeElement.matches(wanted), selector);
  const key = async (name) => {
    await page.keyboard.press(name);
    counted.presses += 1;
  };
  const tabTo = async (selector) => {
    await page.waitForSelector(selector);
    await page.evaluate(() => window.quiet());
    // Firefox goes from the last element to its own bars, so what lies before is gone back to.
    const isBefore = await page.evaluate((wanted) => {
      const [there, here] = [document.querySelector(wanted), document.activeElement];
      return Boolean(there.compareDocumentPosition(here) & Node.DOCUMENT_POSITION_FOLLOWING);
    }, selector);
    if (isBefore) await page.keyboard.down("Shift");
    for (let most = 150; !(await focused(selector)); most -= 1) {
      if (!most) throw new Error(`${selector} is not reached by the Tab key`);
      await key("Tab");
    }
    if (isBefore) await page.keyboard.up("Shift");
  };
  if (hand === "keys")
    return {
      counted,
      press: async (selector) => {
        await tabTo(selector);
        await key("Enter");
      },
      pull: async (selector) => {
        await tabTo(selector);
        for (let times = 0; times < 5; times += 1) await key("ArrowRight");
      },
    };
  if (hand === "touch")
    return {
      counted,
      press: async (selector) => {
        await page.touchscreen.tap(...(await middle(selector)));
        counted.presses += 1;
      },
      pull: async (selector) => {
        const [x, y] = await middle(selector);
        await page.touchscreen.touchStart(x, y);
        for (let by = 4; by <= 24; by += 4) await page.touchscreen.touchMove(x + by, y + by);
        await page.touchscreen.touchEnd();
        counted.presses += 1;
      },
    };
  return {
    counted,
    press: async (selector) => {
      await page.mouse.click(...(await middle(selector)));
      counted.presses += 1;
    },
    pull: async (selector) => {
      const [x, y] = await middle(selector);
      await page.mouse.move(x, y);
      await page.mouse.down();
      await page.mouse.move(x + 24, y + 24, { steps: 6 });
      await page.mouse.up();
      counted.presses += 1;
    },
  };
}

// Touches the cross that is asked for, as a pen whose tablet is set to the numbers on the page.
function touchWithThePen() {
  const dialog = document.querySelector("dialog.quiet");
  const [left, top, wide, high] = [...document.querySelectorAll("#answer [data-copy]")].map((each) =>
    Number(each.dataset.copy),
  );
  const cross = dialog.querySelector(".where .asked circle");
  const place = (key, from, length, px) => ((cross.getAttribute(key) - from) / length) * px;
  const [x, y] = [
    place("cx", left, wide, screen.width),
    place("cy", top, high, screen.height),
  ];
  const facts = { pointerType: "pen", bubbles: true, cancelable: true, clientX: x, clientY: y };
  Object.assign(facts, { screenX: x, screenY: y });
  dialog.dispatchEvent(new PointerEvent("pointerdown", facts));
  dialog.dispatchEvent(new PointerEvent("pointerup", facts));
}

async function run({ hand, width, height, name }) {
  const page = await browser.newPage();
  page.setDefaultTimeout(60000);
  page.on("pageerror", (error) => wrong.push(String(error)));
  page.on("console", (message) => message.type() === "error" && wrong.push(message.text()));
  await page.evaluateOnNewDocument(watch);
  const fingers = hand === "touch" && kind !== "firefox" ? { isMobile: true, hasTouch: true } : {};
  await page.setViewport({ width, height, ...fingers });
  if (kind !== "firefox") {
    // A window that fills its screen.
    const screen = { screenWidth: width, screenHeight: height };
    const metrics = { width, height, deviceScaleFactor: 1, mobile: hand === "touch", ...screen };
    const session = await page.createCDPSession();
    await session.send("Emulation.setDeviceMetricsOverride", metrics);
  }
  await page.goto(seen.length ? new URL(seen[0].start).href : address);
  const start = page.url();
  const { counted, press, pull } = handOf(hand, page);
  const settled = () => page.evaluate(() => window.quiet());
  await press("#new");
  await page.waitForSelector("html[data-ready]");
  await settled();
  // Described: the first customary size, and the screen that the browser has, in the first size.
  await press("#blank-tablet");
  await press("section.note .way");
  await settled();
  await press("#blank-displays");
  await press("section.note .way");
  await settled();
  const numbers = () =>
    page.$$eval("#answer [data-copy]", (all) => all.map((each) => each.dataset.copy));
  const described = await numbers();
  const handle = await page.evaluate(
    () =>
      document.querySelector('#map-area-left[role="slider"], #map-area-top[role="slider"]')?.id ??
      document.querySelector('[role="slider"][data-pull^="area-"]').id,
  );
  await pull(`#${handle}`);
  await settled();
  const pulled = await numbers();
  for (const number of ["left", "top", "width", "height"]) {
    await press(`#number-${number}`);
    await page.waitForSelector(`#number-${number}.copied`);
  }
  await press("#keep");
  await page.waitForSelector("section.note input:focus");
  await page.keyboard.type(name);
  // What was typed is tried meanwhile, and moves what stands below it.
  await settled();
  if (hand === "keys") await page.keyboard.press("Enter");
  else await press("#keep");
  await press("#typed-in");
  await press("#test-it");
  await press("#chapter-took [data-touch]");
  await page.waitForSelector("dialog.quiet[open] .where .asked");
  while (await page.$("dialog.quiet[open]")) {
    await page.evaluate(touchWithThePen);
    await pause(PAUSE_MS);
  }
  await page.waitForSelector(".touch-verdict");
  await settled();
  const verdict = await page.$eval(".touch-verdict", (each) => each.innerText);
  await press("#feel");
  await press("#chapter-felt button[type=submit]");
  await page.waitForSelector("#chapter-felt .lines");
  await settled();
  const stages = await page.$$eval(".stages li", (all) => all.map((each) => each.className));
  const wide = await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth);
  await page.close();
  return { start, hand, width, described, pulled, verdict, stages, wide, ...counted };
}

let at = "";
try {
  for (const each of JSON.parse(runs)) {
    at = `${each.hand} ${each.width}`;
    seen.push(await run(each));
  }
} catch (error) {
  wrong.push(`${at}: ${error.stack}`);
} finally {
  await browser.close();
}
console.log(JSON.stringify({ wrong, seen }));
