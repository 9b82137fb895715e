// Fills the slots of a template: "{number} is copied.".

export const fill = (template, slots = {}) =>
  template.replace(/\{(\w+)\}/g, (_, name) => String(slots[name]));

// A number with so many decimals and the decimal mark of the page's language, for people.
export function fixed(value, places) {
  const language = globalThis.document?.documentElement.lang || "en";
  const [mark] = (0.5).toLocaleString(language, { numberingSystem: "latn" }).match(/[.,]/) ?? ["."];
  return value.toFixed(places).replace(".", mark);
}
