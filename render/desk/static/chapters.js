// Chapters: fetched when they are opened, and again when the description changed while they are open.

import { address, again, change, desk, onChange, say, trouble } from "./page.js";
import { held } from "./focus.js";
import { carried, inUse } from "./fields.js";
import { copy, did } from "./answer.js";
import { get, post } from "./ask.js";
import { text } from "./texts.js";
import { lookAtWide } from "./wide.js";

const LATER_MS = 250;
const BUSY = "[data-busy], dialog[open]";
// What is typed, drawn or measured in a chapter is not taken from under the hand.
const isBusy = (details) => Boolean(details.querySelector(BUSY)) || inUse(details);
const stale = new WeakSet();
const asking = new WeakSet();
const filled = new WeakMap();
const columns = new WeakMap();
let later = 0;
let resized = 0;
let shown = "";
const before = desk.step;

// How wide the column of a chapter is, in the size of the page's lettering: its charts are drawn for
// it.
function column(details) {
  const [body, root] = [details.querySelector(".chapter"), document.documentElement];
  const wide = body.clientWidth - parseFloat(getComputedStyle(body).paddingLeft);
  const rem = wide / parseFloat(getComputedStyle(root).fontSize);
  columns.set(details, rem);
  return `column=${rem.toFixed(1)}`;
}

async function fill(details, { wanted = false } = {}) {
  const name = details.dataset.chapter;
  const body = details.querySelector(".chapter");
  const now = shown;
  body.setAttribute("aria-busy", "true");
  try {
    const { html } = await get(`${address()}/chapter/${name}?${column(details)}`);
    const script = await scriptOf(details);
    // A dialog that was opened while the answer was on its way stays.
    if (asking.has(details) || (!wanted && isBusy(details))) return void wait(details);
    put(details, body, html, script);
    filled.set(details, now);
  } catch (error) {
    trouble(error);
  } finally {
    body.removeAttribute("aria-busy");
  }
}

// It is of the letter before, and says so where a text that is typed in it holds it back.
function wait(details) {
  stale.add(details);
  const body = details.querySelector(".chapter");
  if (!details.open || !inUse(details) || body.querySelector(".waits")) return;
  const line = document.createElement("p");
  const anew = document.createElement("button");
  line.classList.add("hint", "waits");
  line.textContent = text("chapter_waits");
  anew.className = "plain";
  anew.type = "button";
  anew.textContent = text("chapter_anew");
  anew.addEventListener("click", () => fill(details, { wanted: true }));
  line.append(" ", anew);
  body.prepend(line);
}

const scriptOf = (details) =>
  details.dataset.script && import(`./chapters/${details.dataset.script}.js`);

// What is shown answers at once. What is typed besides what was `asked` with stays.
function put(details, body, html, script, asked = null) {
  const focus = held();
  const typed = carried(body, asked);
  body.innerHTML = html;
  lookAtWide(body);
  stale.delete(details);
  script?.open(body, {
    address,
    say,
    did,
    change,
    copy,
    ask: async (verb, body_) => {
      asking.add(details);
      const said = await post(
        `${address()}/chapter/${details.dataset.chapter}/${verb}?${column(details)}`,
        body_,
      ).finally(() => asking.delete(details));
      if (said.say) say(said.say);
      if (said.html !== undefined) put(details, body, said.html, script, body_);
      if (said.change) await change(said.change, said.about || "", said.say && (() => said.say));
      // What was done here may be told by headings.
      else if (said.html !== undefined) await again().then(() => filled.set(details, shown));
      return said;
    },
  });
  typed();
  focus();
}

document.getElementById("chapters").addEventListener(
  "toggle",
  (event) => {
    const details = event.target.closest("details[data-chapter]");
    if (details?.open && (stale.has(details) || !details.querySelector(".chapter").firstChild))
      fill(details);
  },
  true,
);

// What became stale behind an open dialog, or under a field in use, is fetched when that is over,
// unless its answer is on the way.
for (const over of ["close", "focusout"])
  document.getElementById("chapters").addEventListener(
    over,
    ({ target }) => {
      const details = target.closest("details[data-chapter]");
      setTimeout(() => {
        const waits = details?.open && stale.has(details) && !asking.has(details);
        if (waits && !isBusy(details)) fill(details);
      });
    },
    true,
  );

// A chapter tells of a step of the letter: what is only tried, or drawn anew, changes none.
onChange((said) => {
  const now = `${said.step} ${said.parts.chapters}`;
  if (!said.possible || now === shown) return;
  const first = !shown;
  shown = now;
  if (first && said.step === before) return;
  clearTimeout(later);
  later = setTimeout(() => {
    for (const details of document.querySelectorAll("details[data-chapter]")) {
      // One that was opened since the change tells of it already.
      if (filled.get(details) === now) continue;
      if (details.open && !asking.has(details) && !isBusy(details)) fill(details);
      else wait(details);
    }
  }, LATER_MS);
});

// Charts are drawn anew for a window of another width.
addEventListener("resize", () => {
  clearTimeout(resized);
  resized = setTimeout(() => {
    for (const details of document.querySelectorAll("details[data-chapter][open]")) {
      const before = columns.get(details);
      if (!before || !details.querySelector(".chart") || asking.has(details)) continue;
      column(details);
      if (Math.abs(columns.get(details) - before) > 1 && !isBusy(details)) fill(details);
    }
  }, LATER_MS);
});
