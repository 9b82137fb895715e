// Direct manipulation: ticks, dimension lines and the area itself, by mouse, pen, finger and arrow
// keys. The script knows how far a hand moved on the sheet and what one mm of it stands for; what
// becomes of that is the server's business.

import { ask, desk, onChange } from "./page.js";
import { stepsOf } from "./keys.js";
import { disown, own } from "./swap.js";

const figure = document.getElementById("picture");
const DEAD_PX = 3;
const REST_MS = 350;
const GROWN = 1.18;
let pulling = null;
let resting = 0;
let held = null;
let from = null; // where the slider was when its first key was pressed

const handleOf = (element) => element.closest?.(".handle, .bed");

figure.addEventListener("pointerdown", (event) => {
  const element = handleOf(event.target);
  if (!element || event.button > 0 || !desk.possible) return;
  event.preventDefault();
  flush();
  element.focus?.({ preventScroll: true });
  figure.setPointerCapture(event.pointerId);
  const area = element.dataset.pull.startsWith("area");
  const scale = figure.querySelector("svg").getScreenCTM().a;
  pulling = {
    element,
    what: element.dataset.pull,
    x: event.clientX,
    y: event.clientY,
    pointer: event.pointerId,
    moved: false,
    top: figure.getBoundingClientRect().top,
    per: Number(element.dataset.perUnit) / scale / (area ? GROWN : 1),
    area,
  };
});

// A finger on a handle pulls and does not scroll; browsers do not look at touch-action inside a
// picture.
figure.addEventListener("touchstart", (event) => handleOf(event.target) && event.preventDefault(), {
  passive: false,
});

figure.addEventListener("pointermove", (event) => {
  if (!pulling || event.pointerId !== pulling.pointer) return;
  const x = event.clientX - pulling.x;
  const y = event.clientY - pulling.y;
  if (!pulling.moved && Math.hypot(x, y) < DEAD_PX) return;
  if (!pulling.moved && pulling.area) grow(true);
  if (!pulling.moved)
    own(pulling.element, "class", `${pulling.element.getAttribute("class")} pulled`);
  pulling.moved = true;
  pulling.to = { x: x * pulling.per, y: y * pulling.per };
  ask({ pull: { what: pulling.what, ...pulling.to } });
});

async function end(event, cancelled) {
  if (!pulling || event.pointerId !== pulling.pointer) return;
  const { element, what, to, moved, area } = pulling;
  pulling = null;
  if (area) grow(false);
  if (!moved) return;
  disown(element, "class", element.getAttribute("class").replace(" pulled", ""));
  await ask(cancelled ? {} : { pull: { what, ...to }, commit: true });
}

figure.addEventListener("pointerup", (event) => end(event, false));
figure.addEventListener("pointercancel", (event) => end(event, true));
addEventListener("keydown", (event) => {
  if (event.key === "Escape" && pulling) {
    event.preventDefault();
    end({ pointerId: pulling.pointer }, true);
  }
});

// The hand's picture grows about its middle while it is pulled, with its marks. The class is the
// figure's, which no swap touches.
function grow(on) {
  const box = figure.querySelector(".hand-side").getBBox();
  if (on)
    figure.style.setProperty("--middle", `${box.x + box.width / 2}px ${box.y + box.height / 2}px`);
  figure.classList.toggle("growing", on);
}

figure.addEventListener("keydown", (event) => {
  const element = handleOf(event.target);
  const across = element?.classList.contains("horizontal");
  // On the sheet the numbers grow to the right and downwards.
  const steps = element && stepsOf(event, { grows: across ? "ArrowUp" : "ArrowDown" });
  if (!steps || !desk.possible) return;
  if (held?.what !== element.dataset.pull) flush();
  held ??= { what: element.dataset.pull, x: 0, y: 0 };
  const value = (name) => Number(element.getAttribute(`aria-value${name}`));
  const [axis, start] = [across ? "x" : "y", (from ??= value("now"))];
  const wanted = held[axis] + steps * Number(element.dataset.step);
  held[axis] = Math.min(Math.max(wanted, value("min") - start), value("max") - start);
  ask({ pull: held });
  clearTimeout(resting);
  resting = setTimeout(flush, REST_MS);
});
figure.addEventListener("focusout", () => flush());

// Arrow keys in a row are one step of the letter, made and said when they rest.
function flush() {
  clearTimeout(resting);
  if (!held) return;
  const pull = held;
  held = from = null;
  ask({ pull, commit: true });
}

// The area as a whole: a bed under the handles that a pointer drags both ways; keys have the
// dimension lines.
function beds() {
  const handles = figure.querySelector(".handles");
  if (!handles) return;
  for (const side of ["area", "screen"]) {
    const [left, top, right, bottom] = ["left", "top", "right", "bottom"].map((edge) =>
      figure.querySelector(`#map-${side}-${edge}.handle`),
    );
    let bed = document.getElementById(`map-${side}-both`);
    if (!left || !top || !right || !bottom) {
      bed?.remove();
      continue;
    }
    if (!bed) {
      bed = document.createElementNS("http://www.w3.org/2000/svg", "rect");
      bed.id = `map-${side}-both`;
      bed.setAttribute("class", "bed");
      bed.dataset.pull = `${side}-both`;
      handles.prepend(bed);
    }
    const box = (element) => element.querySelector(".tick").getBBox();
    const [x0, x1] = [left, right].map((each) => box(each).x + box(each).width / 2);
    const [y0, y1] = [top, bottom].map((each) => box(each).y + box(each).height / 2);
    for (const [name, value] of Object.entries({
      x: x0,
      y: y0,
      width: Math.max(0, x1 - x0),
      height: Math.max(0, y1 - y0),
    }))
      bed.setAttribute(name, value);
    bed.dataset.perUnit = top.dataset.perUnit;
  }
}

// What the letter says grows while it is pulled, and the picture stays under the hand.
const stay = () =>
  pulling &&
  scrollBy({ top: figure.getBoundingClientRect().top - pulling.top, behavior: "instant" });

beds();
onChange(beds);
onChange(stay);
