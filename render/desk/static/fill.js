// Fills the slots of a template: "{number} is copied.".

export const fill = (template, slots = {}) =>
  template.replace(/\{(\w+)\}/g, (_, name) => String(slots[name]));
