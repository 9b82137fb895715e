// Signs of work: what takes longer than half a second says so in words. After one second it shows
// which step it is at where the steps can be counted, and else how long it has gone on.

import { canAskMeanwhile, root, send } from "./place.js";
import { modalPart, say } from "./say.js";
import { text } from "./texts.js";

const [WORDS_MS, BAR_MS, TICK_MS] = [500, 1000, 500];
const waiting = new Set();
let sign = null;
let named = 0;

// The header that names what is asked, and a name for it that no other page has.
export const NAMED = "X-Evenstroke-Work";
const ours = Math.random().toString(36).slice(2);
export const workName = () => `${ours}-${(named += 1)}`;

// Waits for `answer`, and shows meanwhile what takes so long.
export async function working(answer, address, name = "") {
  const work = { words: text(wordsOf(address)), began: performance.now(), name };
  waiting.add(work);
  const timers = [setTimeout(show, WORDS_MS), setTimeout(bar, BAR_MS, work)];
  try {
    return await answer;
  } finally {
    for (const each of timers) clearTimeout(each);
    waiting.delete(work);
    if (waiting.size) show();
    else hide();
  }
}

function wordsOf(address) {
  if (/\/chapter\/took\/(trace|picture|again)|\/measure\/traces/.test(address)) return "works_trace";
  if (/\/chapter\/strokes\/drop/.test(address)) return "works_drawing";
  return /\/chapter\//.test(address) ? "works_chapter" : "works";
}

function show() {
  const [oldest] = waiting;
  if (!oldest) return;
  if (!sign) {
    sign = document.createElement("div");
    sign.className = "working";
    sign.append(document.createElement("span"));
  }
  const home = modalPart() ?? document.querySelector("main");
  if (sign.parentElement !== home) home.append(sign);
  sign.firstChild.textContent = oldest.words;
}

function bar(work) {
  say(work.words);
  const progress = document.createElement("progress");
  progress.setAttribute("aria-label", work.words);
  const seconds = document.createElement("span");
  sign.append(progress, seconds);
  const count = async () => {
    const now = Math.round((performance.now() - work.began) / 1000);
    seconds.textContent = text("works_seconds", { seconds: now });
    const far = await howFar(work.name);
    if (!far.words || !progress.isConnected) return;
    work.words = far.words;
    show();
    progress.setAttribute("aria-label", far.words);
    if (far.count) progress.value = far.done / far.count;
  };
  const ticking = setInterval(() => {
    if (seconds.isConnected) count();
    else clearInterval(ticking);
  }, TICK_MS);
  count();
}

// What the server says of it; nothing where it cannot be asked, or knows no steps.
async function howFar(name) {
  if (!canAskMeanwhile || !name) return {};
  try {
    return await (await send(`${root}/work/${name}`)).json();
  } catch {
    return {};
  }
}

function hide() {
  sign?.remove();
  sign = null;
}
