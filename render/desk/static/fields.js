// Fields that somebody types into: what is in use is not replaced, and what was not sent is not
// lost.

// Those that the page keeps in a file, or that belong to a pad, are no part of this.
const fieldsOf = (element) =>
  [...element.querySelectorAll("input, select, textarea")].filter(
    (field) => !field.matches("[type=file], .pad *"),
  );

const isChoice = (field) => field.matches("select, [type=radio], [type=checkbox]");

function isChanged(field) {
  if (field.matches("select")) {
    const first = [...field.options].findIndex((each) => each.defaultSelected);
    return field.selectedIndex !== Math.max(0, first);
  }
  return isChoice(field)
    ? field.checked !== field.defaultChecked
    : field.value !== field.defaultValue;
}

// Whether somebody types into `element`, or left a text there that was not sent yet.
export const inUse = (element) =>
  fieldsOf(element).some(
    (field) => field === document.activeElement || (!isChoice(field) && isChanged(field)),
  );

// The fields of `element` by what they are called, those of one name in their order.
function byName(element) {
  const found = new Map();
  for (const field of fieldsOf(element)) {
    const name = [field.id || field.name, field.type === "radio" ? field.value : ""].join(" ");
    let key = name;
    for (let number = 2; found.has(key); number += 1) key = `${name} ${number}`;
    found.set(key, field);
  }
  return found;
}

// Remembers what is typed and chosen in `element` but was not `sent`; what it gives writes that
// into the fields that stand in their place by then.
export function carried(element, sent) {
  const isSent = (field) => sent && field.name && field.name in sent;
  const kept = [...byName(element)].filter(([, field]) => isChanged(field) && !isSent(field));
  return () => {
    const now = byName(element);
    for (const [key, { value, checked }] of kept) {
      const field = now.get(key);
      if (!field) continue;
      if (field.matches("[type=radio], [type=checkbox]")) field.checked = checked;
      else field.value = value;
      field.dispatchEvent(new Event("change", { bubbles: true }));
    }
  };
}
