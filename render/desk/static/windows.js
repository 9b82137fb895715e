// Other windows of this desk, and a server that stopped: each window looks again where something
// changed elsewhere, and a page that gets no answer goes on with the next server as soon as its
// browser was let in there.

import { again, desk, onChange, trouble } from "./page.js";
import { goTo, root } from "./place.js";

const LATER_MS = 300;
const LOOK_MS = 1500;

// -- other windows

// A browser that stores nothing may have none.
function channel() {
  try {
    return new BroadcastChannel(`evenstroke ${desk.id}`);
  } catch {
    return null;
  }
}
const others = channel();
const state = () =>
  `${desk.step} ${document.querySelector("#answer .stages")?.textContent.replace(/\s+/g, " ")}`;
let known = state();
let later = 0;

onChange(() => {
  clearTimeout(later);
  later = setTimeout(() => {
    if (state() !== known) others?.postMessage(desk.step);
    known = state();
  }, LATER_MS);
});
others?.addEventListener("message", () => again());
// Windows of another browser, and programs beside the page, are looked for on the way back.
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible" && !waiting) again();
});
addEventListener("focus", () => waiting || again());

// -- a server that stopped

let waiting = 0;

// Where the next server is: port and path, as its cookie for this path says.
function next() {
  const said = document.cookie.match(/(?:^|; )evenstroke-next=(\d+)(\/[\w-]+)(?:;|$)/);
  return said && `${location.protocol}//${location.hostname}:${said[1]}${said[2]}`;
}

function look() {
  const base = next();
  if (!base || base.endsWith(root)) return;
  clearInterval(waiting);
  goTo(`${base}/on/${desk.id}/${desk.step}`);
}

document.addEventListener("stopped", () => {
  if (location.protocol.startsWith("http")) waiting ||= setInterval(look, LOOK_MS);
});
document.addEventListener("silent", () => trouble(new Error("silent")));
document.addEventListener("answers", () => {
  if (!waiting) return;
  clearInterval(waiting);
  waiting = 0;
  document.getElementById("trouble")?.remove();
});
