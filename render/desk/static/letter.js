// Blanks and their notes: open, try, take, leave. The focus goes back to the blank.

import { again, ask, address, change, desk, go, onChange, restore, say, trouble } from "./page.js";
import { post } from "./ask.js";
import { focusOn, held } from "./focus.js";
import { slipIn, untold } from "./slips.js";
import { own, disown, swap } from "./swap.js";
import { plan } from "./plan.js";

const note = document.getElementById("note");
const TYPING_MS = 120;
let open = "";
let typing = 0;
let dirty = false;
let after = null; // what is done when the open blank is taken
let tried = null; // the radio that the arrow keys went to
let before = null; // the step before something was taken that is not possible

const blank = (name) => document.getElementById(`blank-${name}`);

// With `then`, that is done when the blank is taken; `why` says so first.
export async function openNote(name, { focus = true, why = "", then = null } = {}) {
  if (open && open !== name) await settle();
  try {
    const { html } = await post(`${address()}/note/${name}`, {});
    mark(open, false);
    if (open !== name) before = null;
    open = name;
    dirty = false;
    tried = null;
    note.hidden = false;
    note.innerHTML = html;
    if (why) {
      const reason = document.createElement("p");
      reason.id = "note-why";
      reason.textContent = why;
      note.querySelector("h2").after(reason);
      const field = note.querySelector("input");
      field?.setAttribute("aria-describedby", `note-why ${field.getAttribute("aria-describedby")}`);
    }
    after = then;
    mark(name, true);
    place();
    plan(note, openNote);
    // What is empty offers before it asks to type.
    const field = blank(name)?.classList.contains("empty")
      ? null
      : note.querySelector("input, textarea");
    if (focus) into(field || note.querySelector(".way.chosen") || note.querySelector(".way, button"));
  } catch (error) {
    trouble(error);
  }
}

// Another step of the desk has another note for the same blank; what is being typed stays.
document.addEventListener("stepped", () => {
  if (open && !dirty) openNote(open, { focus: note.contains(document.activeElement) });
});

// Into the note, which scrolls by itself where it is a sheet; the page stays where it is.
function into(element) {
  element?.focus({ preventScroll: true });
  if (getComputedStyle(note).position !== "fixed") return element?.scrollIntoView({ block: "nearest" });
  const [inner, outer] = [element.getBoundingClientRect(), note.getBoundingClientRect()];
  if (inner.top < outer.top || inner.bottom > outer.bottom) note.scrollTop += inner.top - outer.top - 8;
}

function mark(name, isOpen) {
  const element = name && blank(name);
  if (!element) return;
  if (isOpen) own(element, "aria-expanded", "true");
  else disown(element, "aria-expanded", "false");
}

// Beside the line of its blank, where there is a margin and the answer below it stays in sight; a
// sheet from the bottom is placed by the style, and the picture is brought into sight above it.
function place() {
  note.style.marginTop = "";
  const element = blank(open);
  if (!element) return;
  if (getComputedStyle(note).position === "fixed") {
    document.body.classList.add("noted");
    again().then(() => {
      const picture = document.getElementById("picture").getBoundingClientRect();
      if (open)
        scrollBy({
          top: Math.min(picture.bottom - note.getBoundingClientRect().top, picture.top),
          behavior: "instant",
        });
    });
    return;
  }
  const top = document.getElementById("letter").getBoundingClientRect().top;
  const below = document.getElementById("answer").getBoundingClientRect();
  const room = innerHeight - Math.max(top, 0) - note.offsetHeight - below.height - 40;
  const at = Math.min(element.getBoundingClientRect().top - top, room);
  if (at > 0) note.style.marginTop = `${at}px`;
}

export function closeNote({ focus = true } = {}) {
  const name = open;
  mark(name, false);
  open = "";
  after = null;
  dirty = false;
  tried = null;
  note.hidden = true;
  note.replaceChildren();
  note.style.marginTop = "";
  if (document.body.classList.contains("noted")) {
    document.body.classList.remove("noted");
    again();
  }
  before = null;
  if (focus && name) focusOn(blank(name)) || focusOn(blank("tablet"));
}

// What is typed, as a change of the description.
function typed() {
  const texts = {};
  for (const field of note.querySelectorAll("[data-key]")) {
    const value = field.value.trim();
    if (field.dataset.index === undefined) {
      if (value !== field.defaultValue.trim()) texts[field.dataset.key] = value;
    } else {
      (texts[field.dataset.key] ??= []).push(value);
    }
  }
  for (const [key, value] of Object.entries(texts))
    if (Array.isArray(value)) texts[key] = value.filter(Boolean);
  return texts;
}

async function tryTyped() {
  const said = await ask({ change: typed(), about: open });
  if (said) report(said);
}

function report(said) {
  const wrong = said.wrong.filter((each) => each.blank === open);
  const line = document.getElementById("field-read");
  if (line) line.textContent = said.read[open] || line.dataset.keys;
  untold(note);
  for (const each of wrong) slipIn(note, each);
  // What was wrong when the note was opened is told of what is typed now.
  for (const each of note.querySelectorAll("p.wrong:not([id])")) each.hidden = true;
  say(wrong.map((each) => each.says).join(" "));
}

// Take what is typed: where it is valid the note closes, else it stays open and the blank shows
// what was typed.
async function take({ stay = true } = {}) {
  clearTimeout(typing);
  const [name, from, first] = [open, desk.step, isEmpty(open)];
  const said = await ask({ change: typed(), about: name, commit: true });
  if (!said) return;
  dirty = false;
  const wrong = said.wrong.some((each) => each.blank === name);
  if (!stay) return;
  if (wrong) {
    before ??= from;
    return renew(name);
  }
  const then = after;
  taken(first);
  then?.();
}

const isEmpty = (name) => Boolean(blank(name)?.classList.contains("empty"));

// What is taken closes the note, and the focus goes back to its blank. Where that was the first
// that was said of tablet or display, it goes on to the other, and then to the numbers.
function taken(first) {
  const name = open;
  closeNote();
  if (!first || !["tablet", "displays"].includes(name) || isEmpty(name)) return;
  const next = ["tablet", "displays"].find(isEmpty);
  focusOn(next ? blank(next) : document.querySelector("#answer [data-copy]:enabled"));
}

// A click elsewhere: what is valid is taken, what is not stays as a marked draft. Whoever asks
// while that is under way waits for it.
let settling = null;
export function settle() {
  settling ??= settled().finally(() => {
    settling = null;
  });
  return settling;
}

async function settled() {
  if (open && dirty) await take({ stay: false });
  else if (open && tried) await change(changeOf(tried), open);
}

const changeOf = (way) => JSON.parse(way.dataset.change);

// Radios are one stop of the Tab key: the arrow keys go from one to the next and show on the
// picture what it would do.
function check(radio, all) {
  for (const each of all) {
    each.setAttribute("aria-checked", String(each === radio));
    each.tabIndex = each === radio ? 0 : -1;
    each.classList.toggle("chosen", each === radio);
  }
  radio.focus();
  tried = radio;
  dirty = false;
  ask({ change: changeOf(radio), about: open });
}

document.addEventListener("click", async (event) => {
  const target = event.target.closest("a, button");
  const name = target?.dataset.blank;
  if (name) {
    event.preventDefault();
    if (open === name) {
      await settle();
      closeNote();
    } else {
      await openNote(name);
    }
  } else if (open && !note.contains(event.target) && !event.target.closest("#picture")) {
    await settle();
    closeNote({ focus: false });
  }
});

document.addEventListener("keydown", (event) => {
  if (event.key === " " && event.target.dataset?.blank) {
    event.preventDefault();
    event.target.click();
  }
  if (event.key === "Escape" && open && !event.defaultPrevented) {
    event.preventDefault();
    clearTimeout(typing);
    const back = before;
    closeNote();
    if (back === null) restore();
    else go(back);
  }
});

note.addEventListener("input", () => {
  tried = null;
  dirty = true;
  clearTimeout(typing);
  typing = setTimeout(tryTyped, TYPING_MS);
});

note.addEventListener("keydown", (event) => {
  if (event.key === "Enter" && event.target.matches("input")) {
    event.preventDefault();
    take();
  }
  const radio = event.target.closest?.("[role=radio]");
  const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
  if (radio && step) {
    event.preventDefault();
    const group = radio.closest("[role=radiogroup]");
    const all = [...group.querySelectorAll("[role=radio]")];
    const next = all[(all.indexOf(radio) + step + all.length) % all.length];
    // One of several choices is taken at once, or the next choice would not know of it.
    if (!("atOnce" in group.dataset)) return check(next, all);
    next.focus();
    next.click();
  }
});

note.addEventListener("click", async (event) => {
  const way = event.target.closest("[data-change]");
  if (way) {
    const [name, from, first] = [open, desk.step, isEmpty(open)];
    tried = null;
    const said = await change(changeOf(way), name);
    if (!said || open !== name) return;
    const wrong = said.wrong.some((each) => each.blank === name);
    if (wrong) before ??= from;
    else before = null;
    if (wrong || name === "entry") await renew(name);
    else if (name === "displays" && !first) {
      // The next key is for another choice: it begins at the top.
      await renew(name);
      document.getElementById("note-title").focus();
    } else taken(first);
  } else if (event.target.closest("[data-close]")) {
    await settle();
    closeNote();
  } else if (event.target.closest("[data-measure]")) {
    const about = event.target.closest("[data-measure]").dataset.measure;
    closeNote();
    document.dispatchEvent(new CustomEvent("measure", { detail: about }));
  }
});

// Blanks of several choices stay open until they are closed, and so do those in which something is
// wrong; what has the focus keeps it.
async function renew(name) {
  const focus = held();
  const { html } = await post(`${address()}/note/${name}`, {});
  // The plan is made anew, as it listens to its displays.
  note.querySelector("#plan")?.remove();
  swap(note, html);
  plan(note, openNote);
  focus();
}

onChange(() => {
  if (open) mark(open, true);
});

// Where nothing is known yet, keys begin at the first blank that is to be filled.
if (document.activeElement === document.body && !document.querySelector("#answer [data-copy]"))
  focusOn(blank(["tablet", "displays"].find(isEmpty)));
