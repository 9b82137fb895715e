// Makes a part of the page modal: all else takes no focus and is not read, until what this gives is
// called.
export function only(part, label) {
  const silent = [];
  for (let each = part; each !== document.body; each = each.parentElement) {
    for (const beside of each.parentElement.children) {
      if (beside === each || beside.inert) continue;
      beside.inert = true;
      silent.push(beside);
    }
  }
  const facts = { role: "dialog", "aria-modal": "true", "aria-label": label };
  for (const [name, value] of Object.entries(facts)) part.setAttribute(name, value);
  return () => {
    for (const name of Object.keys(facts)) part.removeAttribute(name);
    for (const each of silent) each.inert = false;
  };
}
