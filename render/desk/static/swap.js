// Puts new markup in place of old by changing as little as possible: what is the same stays the
// same node, so that nothing loses the focus, a selection or an open note. Parts with data-keep
// keep what a script put into them.

export function swap(element, html) {
  const range = document.createRange();
  range.selectNode(element);
  const made = element.cloneNode(false);
  made.append(range.createContextualFragment(html));
  children(element, made);
}

function children(old, made) {
  const named = new Map();
  for (const child of old.children) if (child.id) named.set(child.id, child);
  let at = old.firstChild;
  for (const wanted of [...made.childNodes]) {
    const known = wanted.id ? named.get(wanted.id) : null;
    if (known && known.nodeName === wanted.nodeName) {
      if (known !== at) {
        // Moving a node takes its focus away, so what stands before it goes instead where that is
        // possible.
        if (known.contains(document.activeElement)) {
          while (at && at !== known) at = drop(at);
        } else {
          old.insertBefore(known, at);
        }
      }
      update(known, wanted);
      at = known.nextSibling;
    } else if (at && same(at, wanted)) {
      update(at, wanted);
      at = at.nextSibling;
    } else {
      old.insertBefore(wanted, at);
    }
  }
  while (at) at = drop(at);
}

function drop(node) {
  const next = node.nextSibling;
  node.remove();
  return next;
}

const same = (old, wanted) =>
  old.nodeType === wanted.nodeType && old.nodeName === wanted.nodeName && !old.id && !wanted.id;

function update(old, wanted) {
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.nodeValue !== wanted.nodeValue) old.nodeValue = wanted.nodeValue;
    return;
  }
  const kept = new Set(["inert", ...(old.dataset.own || "").split(" ")]);
  for (const { name } of [...old.attributes])
    if (!wanted.hasAttribute(name) && !kept.has(name) && name !== "open" && name !== "data-own")
      old.removeAttribute(name);
  for (const { name, value } of wanted.attributes)
    if (old.getAttribute(name) !== value && !kept.has(name)) old.setAttribute(name, value);
  if (!old.hasAttribute("data-keep")) children(old, wanted);
}

// Attributes that a script set and that the next swap is to leave alone.
export function own(element, name, value) {
  element.setAttribute(name, value);
  const names = new Set((element.dataset.own || "").split(" ").filter(Boolean));
  element.dataset.own = [...names.add(name)].join(" ");
}

export function disown(element, name, value) {
  if (value === undefined) element.removeAttribute(name);
  else element.setAttribute(name, value);
  const names = (element.dataset.own || "").split(" ").filter((each) => each && each !== name);
  if (names.length) element.dataset.own = names.join(" ");
  else delete element.dataset.own;
}
