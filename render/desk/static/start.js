// The start page: a new desk begins with the screen that this page is on.

import "./life.js";
import { post } from "./ask.js";
import { goTo, root, send } from "./place.js";
import { text } from "./texts.js";
import { screenPx } from "./screen.js";

async function begin() {
  const [wide, high] = screenPx();
  const { address } = await post(`${root}/new`, {
    display: wide > 0 && high > 0 ? `${wide}x${high}` : "",
  });
  goTo(address);
}

// What was never kept can be thrown away, and brought back until the page is left.
async function forget(button) {
  const item = button.closest("li");
  const gone = item.classList.toggle("gone");
  await post(`${root}/desk/${button.dataset.forget}/${gone ? "forget" : "restore"}`, {});
  item.querySelector("a").inert = gone;
  button.firstChild.textContent = text(gone ? "thrown_away" : "throw_away");
}

// A desk that was put away is in the list again.
async function back(button) {
  const { says } = await post(`${root}/station/${button.dataset.back}/back`, {});
  await listAnew();
  tell(says);
}

async function listAnew() {
  const page = await (await send(`${root}/`)).text();
  const made = new DOMParser().parseFromString(page, "text/html");
  document.querySelector("main").replaceWith(made.querySelector("main"));
  listen();
}

// The desks of a file of desks join those that are here, and the page lists them.
async function bring(file) {
  let says;
  try {
    const archive = new File([file], file.name, { type: "application/zip" });
    says = (await post(`${root}/bring`, archive)).says;
    await listAnew();
  } catch (error) {
    says = error.message;
  }
  tell(says);
}

// What was done is said in one line, with a line each for what was found.
function tell(says, lines = []) {
  const line = document.getElementById("brought");
  line.hidden = false;
  line.textContent = says;
  document.getElementById("checked").replaceChildren(
    ...lines.map((each) => Object.assign(document.createElement("li"), { textContent: each })),
  );
}

async function askAndTell(address, body) {
  try {
    const { says, lines } = await post(`${root}/${address}`, body);
    tell(says, lines);
  } catch (error) {
    tell(error.message);
  }
}

function listen() {
  document.getElementById("check")?.addEventListener("click", () => askAndTell("check", {}));
  const here = document.getElementById("this-computer");
  here?.addEventListener("change", () => askAndTell("this-computer", { desk: here.value }));
  document.getElementById("new").addEventListener("click", begin);
  for (const button of document.querySelectorAll("[data-forget]"))
    button.addEventListener("click", () => forget(button));
  for (const button of document.querySelectorAll("[data-back]"))
    button.addEventListener("click", () => back(button));
  const input = document.getElementById("bring-file");
  document.getElementById("bring").addEventListener("click", () => input.click());
  input.addEventListener("change", () => input.files[0] && bring(input.files[0]));
}

addEventListener("dragover", (event) => event.preventDefault());
addEventListener("drop", (event) => {
  event.preventDefault();
  if (event.dataTransfer.files[0]) bring(event.dataTransfer.files[0]);
});
listen();
document.addEventListener("silent", () => tell(text("no_answer")));
