// Where the desks are stored, said on every page: in this browser, for this visit only, or no
// more as the storage is full; when they were last saved as a file; and the file that is kept up
// to date where a browser lets a page write to one.

import { root } from "./address.js";
import { done, openDatabase } from "./files.js";
import { ask } from "./python.js";
import { download } from "./pages.js";
import { later } from "./timers.js";
import { text } from "./words.js";

const ARCHIVE = `${root}/desks.zip`;
const WEEK_MS = 7 * 24 * 3600 * 1000;
// What changed goes into the file a moment later, all at once.
const SOON_MS = 800;

let state = "visit";
let saved = 0; // when all desks were last saved as a file
let changed = false; // whether something was written that no file has
let asks = false; // whether a desk was kept while the last file is old
let file = null; // the file that is kept up to date, as a handle
let mayWrite = false;
let failed = false;

// Notes of this module beside the library; where nothing is stored they last for this visit.
async function note(name, value) {
  try {
    const database = await openDatabase();
    const store = database.transaction("notes", "readwrite").objectStore("notes");
    const found = await done(value === undefined ? store.get(name) : store.put(value, name));
    database.close();
    return found;
  } catch {
    return undefined;
  }
}

export async function beginStored(storage) {
  state = storage;
  if (state !== "stored") return;
  saved = (await note("saved")) ?? 0;
  changed = Boolean(await note("changed"));
  file = (await note("file")) ?? null;
  mayWrite = (await file?.queryPermission?.({ mode: "readwrite" })) === "granted";
  // What was written in the last moment of the last visit.
  if (mayWrite && changed) writeSoon();
}

// After each answer: `wrote` records went into the storage.
export function afterAnswer({ status, wrote, storage }, address) {
  const before = `${state} ${asks} ${changed}`;
  state = storage;
  if (address.startsWith(ARCHIVE) && status === 200) wasSaved();
  else if (wrote) {
    if (!changed) note("changed", true);
    changed = true;
    if (mayWrite) writeSoon();
  }
  if (/\/keep$/.test(address) && status === 200 && !mayWrite) asks = Date.now() - saved > WEEK_MS;
  if (before !== `${state} ${asks} ${changed}`) showLine();
}

function wasSaved() {
  saved = Date.now();
  changed = asks = failed = false;
  note("saved", saved);
  note("changed", false);
  showLine();
}

// -- the file that is kept up to date

let soon = 0;
let writing = Promise.resolve();
function writeSoon() {
  soon ||= later(() => {
    soon = 0;
    writing = writing.then(writeFile);
  }, SOON_MS);
}

async function writeFile() {
  try {
    const { status, content } = await ask({ method: "GET", address: ARCHIVE });
    if (status !== 200) throw new Error(String(status));
    const out = await file.createWritable();
    await out.write(content);
    await out.close();
    wasSaved();
  } catch (error) {
    console.warn("The file was not written:", error);
    failed = true;
    showLine();
  }
}

async function saveAll() {
  if (!globalThis.showSaveFilePicker) return download(ARCHIVE);
  try {
    file = await showSaveFilePicker({ suggestedName: "evenstroke-desks.zip" });
  } catch {
    return; // nobody chose one
  }
  mayWrite = true;
  note("file", file);
  await writeFile();
}

async function keepUpToDate() {
  mayWrite = (await file.requestPermission({ mode: "readwrite" })) === "granted";
  if (mayWrite) await writeFile();
  showLine();
}

// -- the line

const day = (when) =>
  new Date(when).toLocaleDateString(document.documentElement.lang || "en", {
    day: "numeric",
    month: "long",
  });

function sentences() {
  const said = [text(`storage_${state}`)];
  if (failed) said.push(text("file_failed"));
  else if (mayWrite) said.push(text("file_current", { file: file.name }));
  else if (saved) said.push(text(changed ? "saved_before" : "saved_all", { day: day(saved) }));
  if (asks) said.push(text(saved ? "save_now" : "save_first"));
  return said;
}

export function showLine() {
  const line = document.getElementById("storage");
  if (!line) return;
  line.dataset.state = state;
  line.classList.toggle("notice", asks || state !== "stored" || failed);
  const words = document.createElement("span");
  words.setAttribute("role", "status");
  words.textContent = sentences().join(" ");
  const button = (name, act, slots) => {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "plain";
    made.textContent = text(name, slots);
    made.addEventListener("click", act);
    return made;
  };
  const offered = [];
  if (file && !mayWrite) offered.push(button("update_file", keepUpToDate, { file: file.name }));
  if ((changed || asks) && !mayWrite) offered.push(button("save_all", saveAll));
  line.replaceChildren(words, ...offered.flatMap((each) => [" ", each]));
}

// What is lost when the page closes is asked for once more.
export const wouldLose = () => changed && state !== "stored";
