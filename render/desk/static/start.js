// The start page: a new desk begins with the screen that this page is on.

import "./life.js";
import { post } from "./ask.js";
import { goTo, root } from "./place.js";
import { text } from "./texts.js";
import { screenPx } from "./screen.js";

document.getElementById("new").addEventListener("click", async () => {
  const [wide, high] = screenPx();
  const { address } = await post(`${root}/new`, {
    display: wide > 0 && high > 0 ? `${wide}x${high}` : "",
  });
  goTo(address);
});

// What was never kept can be thrown away, and brought back until the page is left.
for (const button of document.querySelectorAll("[data-forget]")) {
  const item = button.closest("li");
  button.addEventListener("click", async () => {
    const gone = item.classList.toggle("gone");
    await post(`${root}/desk/${button.dataset.forget}/${gone ? "forget" : "restore"}`, {});
    item.querySelector("a").inert = gone;
    button.firstChild.textContent = text(gone ? "thrown_away" : "throw_away");
  });
}
