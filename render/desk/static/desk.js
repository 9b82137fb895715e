// The desk's page: what it is made of.

import "./life.js";
import "./letter.js";
import "./pull.js";
import "./answer.js";
import "./standing.js";
import "./windows.js";
import "./shown.js";
import "./chapters.js";
import "./measure.js";
import { again, desk, go } from "./page.js";

document.getElementById("top").addEventListener("click", (event) => {
  const link = event.target.closest("a");
  if (link?.dataset.go) {
    event.preventDefault();
    go(Number(link.dataset.go));
  }
});

document.addEventListener("keydown", (event) => {
  const undo =
    (event.ctrlKey || event.metaKey) &&
    event.key.toLowerCase() === "z" &&
    !event.target.matches("input, textarea");
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
