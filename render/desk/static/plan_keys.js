// Displays of the plan by keys: arrows move one, Space sets it at the next side of the others.

import { wayOf } from "./keys.js";
import { say } from "./say.js";
import { text } from "./texts.js";

const [STEP_PX, FAR_PX] = [10, 100];

// Where `box` goes by a key, { left, top }; null where it stays. Over one of the `others` it does
// not go, and that is said.
export function planKeys(event, box, others, overlap) {
  if (event.key === " ") {
    event.preventDefault();
    return event.repeat ? null : nextSide(box, others, overlap);
  }
  const by = wayOf(event);
  if (!by) return null;
  const far = event.shiftKey ? FAR_PX : STEP_PX;
  const to = { left: box.left + by[0] * far, top: box.top + by[1] * far };
  const under = others.find((each) => overlap({ ...box, ...to }, each));
  if (!under) return to;
  say(text("lies_over", { display: under.name }));
  return null;
}

// The next free side, clockwise from where it stands: right of all others, below, left, above.
function nextSide(box, others, overlap) {
  const left = Math.min(...others.map((each) => each.left));
  const top = Math.min(...others.map((each) => each.top));
  const right = Math.max(...others.map((each) => each.left + each.wide));
  const bottom = Math.max(...others.map((each) => each.top + each.high));
  const sides = [
    { left: right, top },
    { left, top: bottom },
    { left: left - box.wide, top },
    { left, top: top - box.high },
  ];
  const at = sides.findIndex((each) => each.left === box.left && each.top === box.top);
  for (let step = 1; step <= sides.length; step += 1) {
    const side = sides[(at + step) % sides.length];
    if (!others.some((each) => overlap({ ...box, ...side }, each))) return side;
  }
  return null;
}
