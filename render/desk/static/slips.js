// What is wrong in a field describes that field, and the field alone is marked. A field has a line
// of its own for that, whose id is the field's with "-wrong", or shares one with others.

const lineOf = (field) => document.getElementById(`${field.id}-wrong`);

// Takes back what was told of the fields of `element`, and in the `shared` line.
export function untold(element, shared = null) {
  for (const field of element.querySelectorAll("[aria-invalid]")) {
    field.removeAttribute("aria-invalid");
    const line = lineOf(field);
    if (line) [line.textContent, line.hidden] = ["", true];
    else field.removeAttribute("aria-describedby");
  }
  if (shared) shared.hidden = true;
}

// Marks a field and tells what is wrong in it, in its own line.
export function slip(field, words) {
  field.setAttribute("aria-invalid", "true");
  const line = lineOf(field);
  if (line) [line.textContent, line.hidden] = [words, false];
}

// Tells what the server found wrong in the field of `element` that it names; what belongs to none
// of them stands in the last line.
export function slipIn(element, { says, field, index }) {
  const found = [...element.querySelectorAll("[data-key]")].find(
    (each) =>
      each.dataset.key === field &&
      (each.dataset.index === undefined || Number(each.dataset.index) === index),
  );
  if (found) return slip(found, says);
  const line = element.querySelector("#field-read");
  if (line) line.textContent = says;
}

// Tells in the `shared` line why something was refused, and marks the field that it is about, which
// is in one of the `places`.
export function refused(shared, error, ...places) {
  shared.textContent = error.message;
  shared.hidden = false;
  const wrong = places.map((each) => fieldNamed(each, error.where ?? [])).find(Boolean);
  if (!wrong) return;
  shared.id ||= `${wrong.id || wrong.name}-refused`;
  wrong.setAttribute("aria-invalid", "true");
  wrong.setAttribute("aria-describedby", shared.id);
}

// The field of `element` that problems in these places are about.
function fieldNamed(element, where) {
  const words = new Set(where.join(" ").toLowerCase().match(/[a-z]+/g));
  return [...(element?.querySelectorAll("input") ?? [])].find((field) =>
    words.has(field.dataset.where ?? field.name),
  );
}
