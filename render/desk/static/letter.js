// Blanks and their notes: open, try, take, leave. The focus goes back to the blank.

import { again, ask, address, change, onChange, restore, say, trouble } from "./page.js";
import { post } from "./ask.js";
import { text } from "./texts.js";
import { own, disown, swap } from "./swap.js";
import { plan } from "./plan.js";

const note = document.getElementById("note");
const TYPING_MS = 120;
let open = "";
let typing = 0;
let dirty = false;
let after = null; // what is done when the open blank is taken
let tried = null; // the radio that the arrow keys went to

const blank = (name) => document.getElementById(`blank-${name}`);

// With `then`, that is done when the blank is taken; `why` says so first.
export async function openNote(name, { focus = true, why = "", then = null } = {}) {
  if (open && open !== name) await settle();
  try {
    const { html } = await post(`${address()}/note/${name}`, {});
    mark(open, false);
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
      note.querySelector("input")?.setAttribute("aria-describedby", "note-why field-read");
    }
    after = then;
    mark(name, true);
    place();
    plan(note, openNote);
    // What is empty offers before it asks to type.
    const field = blank(name)?.classList.contains("empty")
      ? null
      : note.querySelector("input, textarea");
    if (focus)
      (field || note.querySelector(".way.chosen") || note.querySelector(".way, button")).focus({
        preventScroll: true,
      });
  } catch (error) {
    trouble(error);
  }
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
  if (focus && name) (blank(name) || blank("tablet"))?.focus();
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
  dirty = true;
  const said = await ask({ change: typed(), about: open });
  if (said) report(said);
}

function report(said) {
  const wrong = said.wrong.filter((each) => each.blank === open).map((each) => each.says);
  const line = document.getElementById("field-read");
  if (line)
    line.textContent =
      wrong.join(" ") || said.read[open] || text("field_keys");
  for (const field of note.querySelectorAll("input"))
    field.setAttribute("aria-invalid", String(wrong.length > 0));
}

// Take what is typed: where it is valid the note closes, else it stays open and the blank shows
// what was typed.
async function take({ stay = true } = {}) {
  clearTimeout(typing);
  const name = open;
  const said = await ask({ change: typed(), about: name, commit: true });
  if (!said) return;
  dirty = false;
  const wrong = said.wrong.some((each) => each.blank === name);
  const then = after;
  if (wrong && stay) await openNote(name, { then });
  else if (stay) {
    closeNote();
    then?.();
  }
}

// A click elsewhere: what is valid is taken, what is not stays as a marked draft.
async function settle() {
  if (open && dirty) await take({ stay: false });
  else if (open && tried) {
    const said = await change(changeOf(tried), open);
    if (said) say(said.say);
  }
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
    closeNote();
    restore();
  }
});

note.addEventListener("input", () => {
  tried = null;
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
    const all = [...note.querySelectorAll("[role=radio]")];
    check(all[(all.indexOf(radio) + step + all.length) % all.length], all);
  }
});

note.addEventListener("click", async (event) => {
  const way = event.target.closest("[data-change]");
  if (way) {
    const name = open;
    tried = null;
    const said = await change(changeOf(way), name);
    if (!said) return;
    say(said.say);
    if (name === "entry" || name === "displays") await openAgain(name, way.id);
    else if (said.wrong.some((each) => each.blank === name)) await openNote(name);
    else closeNote();
  } else if (event.target.closest("[data-close]")) {
    await settle();
    closeNote();
  } else if (event.target.closest("[data-measure]")) {
    const about = event.target.closest("[data-measure]").dataset.measure;
    closeNote();
    document.dispatchEvent(new CustomEvent("measure", { detail: about }));
  }
});

// Blanks of several choices stay open until they are closed.
async function openAgain(name, focused) {
  const { html } = await post(`${address()}/note/${name}`, {});
  swap(note, html);
  plan(note, openNote);
  document.getElementById(focused)?.focus();
}

onChange(() => {
  if (open) mark(open, true);
});
