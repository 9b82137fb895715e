// Keys that mean the same all over the page.

// A key that is held down chooses once: what it would press next is another thing by then.
document.addEventListener(
  "keydown",
  (event) => {
    const presses = event.key === "Enter" || event.key === " ";
    if (presses && event.repeat && event.target.closest("a, button, summary, [role=button]"))
      event.preventDefault();
  },
  true,
);

// By how much a key moves a slider, in its steps: both pairs of arrows, the first of a pair the way
// that the numbers grow. Null for another key; Home and End go as far as it reaches.
export function stepsOf(event, { grows = "ArrowUp" } = {}) {
  const up = grows === "ArrowUp" ? 1 : -1;
  const steps = {
    ArrowRight: 1,
    ArrowLeft: -1,
    ArrowUp: up,
    ArrowDown: -up,
    Home: -Infinity,
    End: Infinity,
  }[event.key];
  if (steps === undefined || event.ctrlKey || event.metaKey || event.altKey) return null;
  event.preventDefault();
  return event.shiftKey ? 10 * steps : steps;
}

// The way that an arrow key goes over a plane, [across, down]; null for another key.
export function wayOf(event) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[
    event.key
  ];
  if (!way) return null;
  event.preventDefault();
  return way;
}
