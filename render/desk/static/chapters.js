// Chapters: fetched when they are opened, and again when the description changed while they are open.

import { address, again, change, desk, onChange, say, trouble } from "./page.js";
import { copy } from "./answer.js";
import { get, post } from "./ask.js";

const LATER_MS = 250;
const BUSY = "[data-busy], dialog[open]";
const stale = new WeakSet();
const asking = new WeakSet();
const filled = new WeakMap();
let later = 0;
let shown = "";
const before = desk.step;

async function fill(details) {
  const name = details.dataset.chapter;
  const body = details.querySelector(".chapter");
  const now = shown;
  body.setAttribute("aria-busy", "true");
  try {
    const { html } = await get(`${address()}/chapter/${name}`);
    const script = await scriptOf(details);
    // A dialog that was opened while the answer was on its way stays.
    if (asking.has(details) || details.querySelector(BUSY)) return void stale.add(details);
    put(details, body, html, script);
    filled.set(details, now);
  } catch (error) {
    trouble(error);
  } finally {
    body.removeAttribute("aria-busy");
  }
}

const scriptOf = (details) =>
  details.dataset.script && import(`./chapters/${details.dataset.script}.js`);

// What is shown answers at once.
function put(details, body, html, script) {
  body.innerHTML = html;
  stale.delete(details);
  if (!script) return;
  script.open(body, {
    address,
    say,
    change,
    copy,
    ask: async (verb, body_) => {
      asking.add(details);
      const said = await post(
        `${address()}/chapter/${details.dataset.chapter}/${verb}`,
        body_,
      ).finally(() => asking.delete(details));
      if (said.say) say(said.say);
      if (said.html !== undefined) put(details, body, said.html, script);
      if (said.change) await change(said.change, said.about || "");
      // What was done here may be told by headings.
      else if (said.html !== undefined) await again().then(() => filled.set(details, shown));
      return said;
    },
  });
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

// What became stale behind an open dialog is fetched when it closes, unless its answer is on the
// way.
document.getElementById("chapters").addEventListener(
  "close",
  (event) => {
    const details = event.target.closest("details[data-chapter]");
    if (details?.open && stale.has(details) && !asking.has(details)) fill(details);
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
      if (details.open && !asking.has(details) && !details.querySelector(BUSY)) fill(details);
      else stale.add(details);
    }
  }, LATER_MS);
});
