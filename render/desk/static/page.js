// The desk on this page: where it stands, what the server says of it, and the address that names
// it.

import { Asker, Refused, post } from "./ask.js";
import { pathNow, pushAddress, root } from "./place.js";
import { held } from "./focus.js";
import { say } from "./say.js";
import { text } from "./texts.js";
import { swap } from "./swap.js";

export { say };

const main = document.getElementById("desk");

export const desk = {
  id: main.dataset.id,
  step: Number(main.dataset.step),
  possible: main.dataset.possible === "true",
};
const listeners = new Set();
let tried = null;
// A question is of the step, and of what is tried, when it is sent: what waited before it may have
// made another step.
const asker = new Asker(async ({ step = desk.step, body = tried ?? {} }) => {
  const asked = { room: room(), ...body };
  const said = await post(`${root}/desk/${desk.id}/${step}/answer`, asked);
  const moved = said.step !== desk.step;
  desk.step = said.step;
  tried = !body.commit && (body.change || body.pull) ? body : null;
  return { ...said, moved };
});

export const address = () => `${root}/desk/${desk.id}/${desk.step}`;
export const onChange = (listener) => listeners.add(listener);

// The CSS px that the picture may take, and the size of the page's lettering.
export function room() {
  const wide = document.getElementById("picture").clientWidth || 800;
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
  const narrow = wide < 560;
  const shown = document.body.classList.contains("shown");
  const free = innerHeight - document.getElementById("letter").offsetHeight - 4.5 * rem;
  // Above a sheet from the bottom the whole of it stays in sight.
  const most = document.body.classList.contains("noted") ? innerHeight * 0.55 - rem : Infinity;
  let high = Math.max(300, Math.min(innerHeight * 0.6, wide * 0.52));
  if (narrow) high = Math.min(wide * 1.5, innerHeight * 0.54);
  if (shown) high = Math.max(200, free);
  return [Math.round(wide), Math.round(Math.min(high, most)), rem];
}

let asking = 0;
function busy(more) {
  asking += more;
  main.dataset.asking = asking;
}

// Ask what a change comes to. With commit it becomes a step, and the address names it; without it
// is only shown. What a step comes to is said once: `words` where there are such, else the sentence
// of the answer. Without a body it is asked again, with what is only tried.
export async function ask(body, { step, push = true, words = (said) => said } = {}) {
  // Another page may have taken this one's place.
  if (!main.isConnected) return null;
  let said;
  busy(1);
  try {
    said = await asker.ask({ step, body }, Boolean(body?.commit));
  } catch (error) {
    trouble(error);
    return null;
  } finally {
    busy(-1);
  }
  if (!said) return null;
  show(said);
  if (said.moved && push) pushAddress({ step: said.step }, said.address);
  document.title = said.title;
  if (body?.commit && said.moved) say(words(said.say));
  return said;
}

export const change = (texts, about = "", words) =>
  ask({ change: texts, about, commit: true }, { words });

// Back to what the step says, where something was only tried.
export async function restore() {
  if (tried) await ask({});
}

// The same in another room: a window may change its size under a hand that pulls. What waits shows
// all anew by itself.
export const again = () => asker.waits?.answered ?? ask();

// To another step of the draft; `words` make what is said of it.
export async function go(step, { push = true, words } = {}) {
  const said = await ask({ commit: true }, { step, push: false, words });
  if (said && push) pushAddress({ step }, said.address);
  if (said) document.dispatchEvent(new Event("stepped"));
}

function show(said) {
  desk.possible = said.possible;
  const focus = held();
  for (const [id, html] of Object.entries(said.parts)) swap(document.getElementById(id), html);
  document.getElementById("picture").classList.toggle("pale", !said.possible);
  for (const listener of listeners) listener(said);
  focus();
}

export function trouble(error) {
  const notices = document.getElementById("notices");
  let line = document.getElementById("trouble");
  if (!line) {
    line = document.createElement("p");
    line.id = "trouble";
    line.className = "notice";
    line.setAttribute("role", "alert");
    notices.append(line);
  }
  let words = text("no_answer");
  if (!(error instanceof Refused) && typeof error !== "string")
    document.dispatchEvent(new Event("stopped"));
  if (error instanceof Refused) words = error.message;
  if (typeof error === "string") words = error;
  line.textContent = words;
}

addEventListener("popstate", (event) => {
  const step = event.state?.step ?? Number(pathNow().split("/").pop());
  if (Number.isInteger(step) && step !== desk.step) go(step, { push: false });
});
history.replaceState({ step: desk.step }, "");
