// The picture by itself: large for a projector, copied as it stands, and the page for the wall when
// the desk is printed.

import { post } from "./ask.js";
import { canSendNow, send, sendNow } from "./place.js";
import { text } from "./texts.js";
import { address, ask, desk, onChange, say, trouble } from "./page.js";

const body = document.body;
const isShown = () => body.classList.contains("shown");

// For a teacher: letter and picture alone, with larger type, until Escape.
function showLarge(on) {
  body.classList.toggle("shown", on);
  if (on) document.documentElement.requestFullscreen?.().catch(() => {});
  else if (document.fullscreenElement) document.exitFullscreen();
  document.getElementById(on ? "leave" : "show")?.focus({ preventScroll: true });
  ask({});
}
document.addEventListener("fullscreenchange", () => {
  if (!document.fullscreenElement && isShown()) showLarge(false);
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && isShown() && !event.defaultPrevented) showLarge(false);
});

const dark = () => matchMedia("(prefers-color-scheme: dark)").matches;

async function copyPicture(button) {
  const made = send(`${address()}/picture.png?theme=${dark() ? "dark" : "light"}`).then((reply) =>
    reply.ok ? reply.blob() : Promise.reject(new Error()),
  );
  try {
    await navigator.clipboard.write([new ClipboardItem({ "image/png": made })]);
    button.classList.add("copied");
    say(text("picture_copied"));
  } catch {
    trouble(text("save_picture"));
  }
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-act]");
  if (!link) return;
  event.preventDefault();
  ({
    show: () => showLarge(true),
    leave: () => showLarge(false),
    copy: () => copyPicture(link),
    print: printSheet,
    stencil: () => printStencil(link.dataset.hand),
  })[link.dataset.act]();
});

// What is printed is the sheet for the wall, by the page's button and by the browser's own key
// alike.
const sheet = document.getElementById("sheet");
export const paper = () => (/-(US|CA|MX|PH)$/i.test(navigator.language) ? "letter" : "a4");

// Other sheets, each as large as its paper, instead of the one for the wall.
let others = false;
export function printSheets(html) {
  sheet.innerHTML = html;
  delete sheet.dataset.of;
  others = true;
  print();
}
addEventListener("afterprint", () => {
  others = false;
});

// Put into the page what the answer holds, null where there was none; whether it did.
function putSheet(of, said) {
  if (!said) return false; // it prints as it is; what is wrong is told where somebody asks for something
  sheet.innerHTML = said.html;
  sheet.dataset.of = of;
  return true;
}

const isCurrent = () => sheet.dataset.of === address();

// The page is printed as it stands when this returns, so here alone the page waits for the server.
addEventListener("beforeprint", () => {
  if (others) return void body.classList.add("sheeted");
  const current =
    isCurrent() ||
    (desk.possible && putSheet(address(), sendNow(`${address()}/sheet`, { paper: paper() })));
  body.classList.toggle("sheeted", Boolean(current && desk.possible));
});

// Where nothing can be asked for while the page prints, it is there before.
const EARLY_MS = 400;
let early = 0;
async function fetchSheet() {
  const of = address();
  if (isCurrent() || !desk.possible) return;
  putSheet(of, await post(`${of}/sheet`, { paper: paper() }).catch(() => null));
}
function fetchEarly() {
  clearTimeout(early);
  early = setTimeout(fetchSheet, EARLY_MS);
}
if (!canSendNow) {
  fetchEarly();
  onChange(fetchEarly);
}

async function printSheet() {
  if (!canSendNow) await fetchSheet();
  print();
}

async function printStencil(hand = "right") {
  try {
    const sheets = await post(`${address()}/stencil`, { paper: paper(), hand });
    printSheets(sheets.print);
  } catch (error) {
    trouble(error);
  }
}

onChange(() => {
  document.getElementById("save").href = `${address()}/picture.png`;
});
