// The small plan of the desktop: displays are dragged, snap to each other's edges, and move by the
// arrow keys.

import { ask } from "./page.js";
import { planKeys } from "./plan_keys.js";

const NEAR = 0.04;
const REST_MS = 350;
let resting = 0;

// `moved` shows the note anew once a display has its new place.
export function plan(note, moved) {
  const drawing = note.querySelector("#plan");
  if (!drawing) return;
  const places = [...drawing.querySelectorAll(".place")];
  const boxes = places.map((each) => ({
    left: Number(each.dataset.left),
    top: Number(each.dataset.top),
    wide: Number(each.dataset.wide),
    high: Number(each.dataset.high),
  }));
  const main = boxes.findIndex((box) => box.left === 0 && box.top === 0);
  places.forEach((element, index) => {
    if (index === main) return;
    let start = null;
    const show = () =>
      element.setAttribute(
        "transform",
        `translate(${boxes[index].left - Number(element.dataset.left)} ${boxes[index].top - Number(element.dataset.top)})`,
      );
    element.addEventListener("pointerdown", (event) => {
      start = {
        x: event.clientX,
        y: event.clientY,
        per: 1 / drawing.getScreenCTM().a,
        box: { ...boxes[index] },
      };
      element.setPointerCapture(event.pointerId);
    });
    element.addEventListener("pointermove", (event) => {
      if (!start) return;
      const wanted = {
        ...start.box,
        left: start.box.left + (event.clientX - start.x) * start.per,
        top: start.box.top + (event.clientY - start.y) * start.per,
      };
      const others = boxes.filter((_, other) => other !== index);
      const to = snapped(wanted, others);
      // Over another it goes beside it once it is dropped.
      boxes[index] = to;
      show();
    });
    element.addEventListener("pointerup", () => {
      if (start) send(note, moved, textsOf(note, boxes), index);
      start = null;
    });
    element.addEventListener("keydown", (event) => {
      const others = boxes.map((box, other) => ({ ...box, name: places[other].dataset.name }));
      const to = planKeys(event, boxes[index], others.toSpliced(index, 1), overlap);
      if (!to) return;
      boxes[index] = { ...boxes[index], ...to };
      show();
      // Keys in a row are one step of the letter, made when they rest, even where the note is
      // closed meanwhile.
      const texts = textsOf(note, boxes);
      clearTimeout(resting);
      resting = setTimeout(() => send(note, moved, texts, index, true), REST_MS);
    });
  });
}

const overlap = (one, other) =>
  one.left < other.left + other.wide &&
  other.left < one.left + one.wide &&
  one.top < other.top + other.high &&
  other.top < one.top + one.high;

// Edges that are near each other meet; whole pixels.
function snapped(box, others) {
  const near = NEAR * Math.max(box.wide, box.high);
  const found = { ...box };
  const best = { x: near, y: near };
  const meet = (axis, key, value) => {
    const off = Math.abs(value - box[key]);
    if (off < best[axis]) {
      best[axis] = off;
      found[key] = value;
    }
  };
  for (const other of others) {
    for (const edge of [other.left, other.left + other.wide]) {
      meet("x", "left", edge);
      meet("x", "left", edge - box.wide);
    }
    for (const edge of [other.top, other.top + other.high]) {
      meet("y", "top", edge);
      meet("y", "top", edge - box.high);
    }
  }
  return { ...found, left: Math.round(found.left), top: Math.round(found.top) };
}

// The displays' texts with their new places, which the server reads as it reads what is typed.
function textsOf(note, boxes) {
  const fields = [...note.querySelectorAll('[data-key="displays"]')];
  return fields.map(
    (field, index) =>
      `${field.value.replace(/\s+at\s+-?\d+\s*,\s*-?\d+/, "")} at ${boxes[index].left},${boxes[index].top}`,
  );
}

// The display at `index` was let go: it goes beside the nearest other one.
async function send(note, moved, displays, index, focused = false) {
  const open = note.querySelector("#plan");
  await ask({ change: { displays }, about: "displays", dropped: index, commit: true });
  if (!open) return;
  await moved("displays", { focus: false });
  if (focused) note.querySelector(`.place[data-index="${index}"]`)?.focus();
}
