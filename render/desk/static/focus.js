// The focus is never lost to the page's body: where what had it is gone, it goes on to what stands
// for that.

const isLost = () => {
  const now = document.activeElement;
  return !now || now === document.body || !now.isConnected || !now.getClientRects().length;
};

const TAKES = ["summary", "[tabindex]", "a[href]", "button:enabled", "input", "select", "textarea"];

// Puts the focus on an element, or on the first thing in it that can have it; whether that worked.
export function focusOn(element) {
  if (!element?.getClientRects().length) return false;
  const takes = element.matches(TAKES.join()) ? element : element.querySelector(TAKES.join());
  takes?.focus();
  return document.activeElement === takes;
}

// Remembers what has the focus. What it gives is called after a change: where the focus was lost,
// it goes to the first of those that `data-then` names by their ids, to the same element as it is
// now, or to the nearest part around it that is still there.
export function held() {
  const had = document.activeElement;
  const ids = [];
  for (let each = had; each && each !== document.body; each = each.parentElement) {
    if (each.dataset.then) ids.push(...each.dataset.then.split(" "));
    // Of a chapter its heading is meant, which tells of what changed.
    if (each.id && !("keep" in each.dataset)) ids.push(each.id);
  }
  return () => {
    if (isLost()) ids.some((id) => focusOn(document.getElementById(id)));
  };
}
