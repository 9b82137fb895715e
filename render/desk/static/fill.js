// Sentences come from the page's own data, in the person's language; scripts fill their slots.

export const fill = (template, slots = {}) =>
  template.replace(/\{(\w+)\}/g, (_, name) => String(slots[name]));

const data = document.getElementById("texts");
const texts = data ? JSON.parse(data.textContent) : {};

// The sentence of that name, as Python wrote it down for this page.
export const text = (name, slots) => fill(texts[name], slots);
