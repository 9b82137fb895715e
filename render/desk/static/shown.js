// The picture by itself: large for a projector, copied as it stands, and the page for the wall when the desk is printed.

import { address, ask, desk, onChange, say, trouble } from "./page.js";
import { post } from "./ask.js";

const REST_MS = 900;
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

async function copyPicture() {
  const made = fetch(`${address()}/picture.png?theme=${dark() ? "dark" : "light"}`).then((reply) => (reply.ok ? reply.blob() : Promise.reject(new Error())));
  try {
    await navigator.clipboard.write([new ClipboardItem({ "image/png": made })]);
    say("The picture is copied.");
  } catch {
    trouble("This browser does not let a page copy a picture. Save it instead.");
  }
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-act]");
  if (!link) return;
  event.preventDefault();
  ({ show: () => showLarge(true), leave: () => showLarge(false), copy: copyPicture, print: printSheet })[link.dataset.act]();
});

// What is printed is the sheet for the wall, fetched when the letter rests; until it is there, the page prints as it is.
const sheet = document.getElementById("sheet");
const paper = () => (/-(US|CA|MX|PH)$/i.test(navigator.language) ? "letter" : "a4");
let resting = 0;
let fetching = null;

async function fetchSheet() {
  clearTimeout(resting);
  const asked = address();
  if (!desk.possible || sheet.dataset.of === asked) return;
  try {
    const { html } = await post(`${asked}/sheet`, { paper: paper() });
    if (asked !== address()) return;
    sheet.innerHTML = html;
    sheet.dataset.of = asked;
    body.classList.add("sheeted");
  } catch {
    // The page prints as it is; what is wrong is told where somebody asks for something.
  }
}

function rest() {
  const current = desk.possible && sheet.dataset.of === address();
  body.classList.toggle("sheeted", current);
  clearTimeout(resting);
  if (!current) resting = setTimeout(() => (fetching = fetchSheet()), REST_MS);
}

async function printSheet() {
  await fetching;
  await fetchSheet();
  print();
}

rest();
onChange(() => {
  rest();
  document.getElementById("save").href = `${address()}/picture.png`;
});
