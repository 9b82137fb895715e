// The four words under the answer and their next step: what was typed in, and the chapters that
// steps open.

import { address, ask, trouble } from "./page.js";
import { post } from "./ask.js";
import { told } from "./answer.js";

const WAIT_MS = 8000;

// Opens a chapter and brings it into sight, at a part of it where one is named.
export function openChapter(name, at = "") {
  const details = document.getElementById(`chapter-${name}`);
  const summary = details.querySelector("summary");
  details.open = true;
  summary.focus({ preventScroll: true });
  summary.scrollIntoView({ block: "start", behavior: "instant" });
  if (!at) return;
  const reached = () => {
    const part = details.querySelector(at);
    part?.scrollIntoView({ block: "start", behavior: "instant" });
    return Boolean(part);
  };
  if (reached()) return;
  // It is on its way.
  const watch = new MutationObserver(() => reached() && watch.disconnect());
  watch.observe(details, { childList: true, subtree: true });
  setTimeout(() => watch.disconnect(), WAIT_MS);
}

async function noteTyped(undo) {
  try {
    const { says } = await post(`${address()}/typed`, { undo });
    await ask({ commit: true });
    told(says);
  } catch (error) {
    trouble(error);
  }
}

document.getElementById("answer").addEventListener("click", (event) => {
  const button = event.target.closest("[data-typed], [data-open]");
  if (!button) return;
  if (button.dataset.open) openChapter(button.dataset.open, button.dataset.at);
  else noteTyped(button.dataset.typed === "undo");
});
