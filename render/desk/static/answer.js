// The answer: numbers that copy themselves, one after the other, and the button that keeps.

import { address, ask, desk, onChange, say, trouble } from "./page.js";
import { post } from "./ask.js";
import { goTo } from "./place.js";
import { text } from "./texts.js";
import { openNote, settle } from "./letter.js";
import { own, disown } from "./swap.js";

const answer = document.getElementById("answer");

answer.addEventListener("click", async (event) => {
  const number = event.target.closest("[data-copy]");
  if (number && !number.disabled) await copy(number);
  if (event.target.closest("#keep")) await keep();
});

// Copy a number, and let the next one of `zone` stand out.
export async function copy(number, zone = answer) {
  try {
    await navigator.clipboard.writeText(number.dataset.copy);
  } catch {
    if (!copyBySelection(number)) return say(text("copy_by_hand"));
  }
  const all = [...zone.querySelectorAll("[data-copy]")];
  // What has its tick keeps it when the answer is written anew.
  for (const each of all) {
    if (each.classList.contains("copied")) own(each, "class", "n copied");
    else disown(each, "class", "n");
  }
  own(number, "class", "n copied");
  own(number, "data-copied", number.dataset.copy);
  const next = all[all.indexOf(number) + 1];
  if (next) own(next, "class", next.classList.contains("copied") ? "n copied next" : "n next");
  say(text("copied", { number: number.dataset.copy }));
}

function copyBySelection(number) {
  const selection = getSelection();
  selection.selectAllChildren(number);
  const done = document.execCommand("copy");
  selection.removeAllRanges();
  return done;
}

export async function keep() {
  try {
    // A name that was just typed is kept with it.
    await settle();
    const said = await post(`${address()}/keep`, {});
    if (said.needs) return openNote(said.needs, { why: said.why, then: keep });
    if (said.step !== desk.step) desk.step = said.step;
    await ask({ commit: true });
    told(said.says);
  } catch (error) {
    trouble(error);
  }
}

// Says what was done, and writes it into a line until the letter changes; whether there is the line.
function written(id, says) {
  say(says);
  const line = document.getElementById(id);
  if (!line) return false;
  line.textContent = says;
  // The next swap is to leave it alone, or the words would go with the next look at the same step.
  own(line, "data-step", String(desk.step));
  return true;
}

// Says what was done below the answer, and goes to the next step: the button that was pressed may
// be gone.
export function told(says) {
  if (written("told", says) && !answer.contains(document.activeElement))
    answer.querySelector("#next .step")?.focus({ preventScroll: true });
}

// Says what was done with the letter, above it and with it in sight.
export function did(says) {
  written("did", says);
  scrollTo({ top: 0, behavior: "instant" });
  document.getElementById("undo")?.focus({ preventScroll: true });
}

// A number that changed is not copied any more.
function forgetChanged() {
  const all = [...answer.querySelectorAll("[data-copy]")];
  const gone = all.filter(({ dataset }) => dataset.copied && dataset.copied !== dataset.copy);
  for (const each of gone) {
    disown(each, "data-copied");
    disown(each, "class", "n");
  }
  if (!gone.length) return;
  for (const each of all) if (!each.dataset.copied) disown(each, "class", "n");
  const next = all.find((each) => !each.dataset.copied);
  if (all.some((each) => each.dataset.copied)) own(next, "class", "n next");
}

onChange((said) => {
  forgetChanged();
  for (const id of ["told", "did"]) {
    const line = document.getElementById(id);
    if (line?.firstChild && line.dataset.step !== String(said.step)) line.textContent = "";
  }
});

document.getElementById("notices").addEventListener("click", async (event) => {
  const button = event.target.closest("[data-take]");
  if (!button) return;
  try {
    const said = await post(`${address()}/take`, { what: button.dataset.take });
    goTo(said.address);
  } catch (error) {
    trouble(error);
  }
});
