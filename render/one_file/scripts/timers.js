// Timers: those of this page's own scripts last, those of the page before end with it, as what it
// wanted to do later has nobody left to do it to.

const ours = new Set();
let endedTo = 0;

export function later(act, ms) {
  const id = setTimeout(() => {
    ours.delete(id);
    act();
  }, ms);
  ours.add(id);
  return id;
}

export function endOthers() {
  const next = setTimeout(() => {}, 0);
  for (let each = endedTo; each <= next; each++) if (!ours.has(each)) clearTimeout(each);
  endedTo = next;
}
