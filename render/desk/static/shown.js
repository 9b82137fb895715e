// The picture by itself: large for a projector, copied as it stands, and the page for the wall when
// the desk is printed.

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
  const made = fetch(`${address()}/picture.png?theme=${dark() ? "dark" : "light"}`).then((reply) =>
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
    print: () => print(),
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

addEventListener("beforeprint", () => {
  if (others) return void body.classList.add("sheeted");
  const current = sheet.dataset.of === address() || (desk.possible && fetchSheet());
  body.classList.toggle("sheeted", Boolean(current && desk.possible));
});

// The page is printed as it stands when this returns, so here alone the page waits for the server.
function fetchSheet() {
  const asked = new XMLHttpRequest();
  asked.open("POST", `${address()}/sheet`, false);
  asked.setRequestHeader("Content-Type", "application/json");
  try {
    asked.send(JSON.stringify({ paper: paper() }));
    sheet.innerHTML = JSON.parse(asked.responseText).html;
    sheet.dataset.of = address();
    return asked.status === 200;
  } catch {
    return false; // it prints as it is; what is wrong is told where somebody asks for something
  }
}

onChange(() => {
  document.getElementById("save").href = `${address()}/picture.png`;
});
