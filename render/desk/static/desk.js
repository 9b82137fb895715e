// The desk's page: what it is made of.

import "./life.js";
import "./letter.js";
import "./pull.js";
import "./answer.js";
import "./chapters.js";
import "./measure.js";
import { ask, desk, go } from "./page.js";

document.getElementById("top").addEventListener("click", (event) => {
  const link = event.target.closest("a");
  if (link?.dataset.go) {
    event.preventDefault();
    go(Number(link.dataset.go));
  } else if (link?.dataset.show) {
    event.preventDefault();
    showLarge(true);
  }
});

// For a teacher: the picture alone, large, until Escape.
function showLarge(on) {
  document.body.classList.toggle("shown", on);
  if (on) document.documentElement.requestFullscreen?.().catch(() => {});
  else if (document.fullscreenElement) document.exitFullscreen();
  ask({});
}
document.addEventListener("fullscreenchange", () => {
  if (!document.fullscreenElement && document.body.classList.contains("shown")) showLarge(false);
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && document.body.classList.contains("shown")) showLarge(false);
  const undo = (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !event.target.matches("input, textarea");
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
  sized = setTimeout(() => ask({}), 60);
}).observe(document.getElementById("picture"));

document.documentElement.dataset.ready = String(desk.id);
