// The desk's page: what it is made of.

import "./life.js";
import "./keys.js";
import "./letter.js";
import "./pull.js";
import "./answer.js";
import "./standing.js";
import "./windows.js";
import "./shown.js";
import "./chapters.js";
import "./measure.js";
import { again, desk, go } from "./page.js";
import { text } from "./texts.js";

document.getElementById("top").addEventListener("click", (event) => {
  const link = event.target.closest("a");
  if (link?.dataset.go) {
    event.preventDefault();
    // The link is another one by the time that there is something to say.
    const { what } = link.dataset;
    const said = what ? `${link.id}_done_of` : `${link.id}_done`;
    go(Number(link.dataset.go), { words: (now) => text(said, { what, now }) });
  }
});

document.addEventListener("keydown", (event) => {
  const undo =
    (event.ctrlKey || event.metaKey) &&
    event.key.toLowerCase() === "z" &&
    // A field, a pad and a dialog take back what was done in them.
    !event.target.closest("input, textarea, .pad, dialog");
  if (undo) {
    event.preventDefault();
    document.getElementById(event.shiftKey ? "redo" : "undo")?.click();
  }
});

let sized = 0;
let wide = 0;
new ResizeObserver(([entry]) => {
  // Its height is the answer's own.
  if (entry.contentRect.width === wide) return;
  wide = entry.contentRect.width;
  clearTimeout(sized);
  sized = setTimeout(again, 60);
}).observe(document.getElementById("picture"));

document.documentElement.dataset.ready = String(desk.id);
