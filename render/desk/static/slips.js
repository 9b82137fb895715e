// What is wrong in a field stands in the field's own description, and the field alone is marked.

const lineOf = (field) => document.getElementById(`${field.id}-wrong`);

// Takes back what was told of the fields of `element`.
export function untold(element) {
  for (const field of element.querySelectorAll("[aria-invalid]")) {
    field.removeAttribute("aria-invalid");
    const line = lineOf(field);
    if (line) [line.textContent, line.hidden] = ["", true];
  }
}

// Marks a field and tells what is wrong in it.
export function slip(field, words) {
  field.setAttribute("aria-invalid", "true");
  const line = lineOf(field);
  if (line) [line.textContent, line.hidden] = [words, false];
}

// Tells what the server found wrong in the field of `element` that it names; what belongs to none
// of them stands in the last line.
export function told(element, { says, field, index }) {
  const found = [...element.querySelectorAll("[data-key]")].find(
    (each) =>
      each.dataset.key === field &&
      (each.dataset.index === undefined || Number(each.dataset.index) === index),
  );
  if (found) return slip(found, says);
  const line = element.querySelector("#field-read");
  if (line) line.textContent = says;
}
