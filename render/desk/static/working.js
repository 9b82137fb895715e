// Signs of work: what takes longer than half a second says so in words, and longer than one second
// shows how long it has gone on.

import { modalPart, say } from "./say.js";
import { text } from "./texts.js";

const [WORDS_MS, BAR_MS, TICK_MS] = [500, 1000, 1000];
const waiting = new Set();
let sign = null;

// Waits for `answer`, and shows meanwhile what takes so long.
export async function working(answer, address) {
  const work = { words: text(wordsOf(address)), began: performance.now() };
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
  const count = () => {
    if (!seconds.isConnected) return clearInterval(ticking);
    const now = Math.round((performance.now() - work.began) / 1000);
    seconds.textContent = text("works_seconds", { seconds: now });
  };
  const ticking = setInterval(count, TICK_MS);
  count();
}

function hide() {
  sign?.remove();
  sign = null;
}
