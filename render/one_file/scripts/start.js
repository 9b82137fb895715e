// Starts the program: unpacks its parts, waits for its turn, and shows the first page.

import { begin as beginPython } from "./python.js";
import { begin as beginPages, forPage } from "./pages.js";
import { readParts } from "./parts.js";
import { beginStored } from "./stored.js";
import { speakAtOnce, text } from "./words.js";

globalThis.evenstroke = { forPage };

const PARTS = ["worker", "pyodide.asm.wasm", "standard.zip", "program.zip"];
const bar = document.querySelector("progress");
const line = document.querySelector("p");
let told = "unpacking";
function tell(name, share) {
  told = name;
  line.textContent = text(name);
  bar.value = share;
}

// Two pages would each forget what the other wrote, so the second waits for the first to close.
async function takeTurn() {
  if (!navigator.locks) return;
  await new Promise((resolve) => {
    const held = (lock) => {
      if (!lock) {
        tell("elsewhere", 0);
        document.documentElement.dataset.ready = "elsewhere";
        navigator.locks.request("evenstroke", held).catch(resolve);
        return undefined;
      }
      delete document.documentElement.dataset.ready;
      resolve();
      return new Promise(() => {});
    };
    // A browser that blocks storage refuses this too: then nothing is shared that could clash.
    navigator.locks.request("evenstroke", { ifAvailable: true }, held).catch(resolve);
  });
}

async function run() {
  speakAtOnce(() => {
    line.textContent = text(told);
    bar.ariaLabel = text("unpacking");
  });
  const { assets, lock } = JSON.parse(document.getElementById("manifest").textContent);
  await takeTurn();
  tell("unpacking", 0.05);
  const { worker, ...parts } = await readParts(PARTS, () => (bar.value += 0.06));
  const kinds = { js: "text/javascript", css: "text/css", svg: "image/svg+xml" };
  const addresses = Object.fromEntries(
    Object.entries(assets).map(([name, content]) => {
      const blob = new Blob([content], { type: kinds[name.split(".").pop()] });
      return [name, URL.createObjectURL(blob)];
    }),
  );
  tell("starting", 0.35);
  const { storage } = await beginPython(worker, { parts, lock, assets: addresses }, () =>
    tell("nearly", 0.65),
  );
  await beginStored(storage);
  await beginPages();
}

run().catch((error) => {
  console.error(error);
  line.textContent = text("not_started");
  const reason = document.createElement("pre");
  reason.textContent = String(error?.stack || error);
  bar.replaceWith(reason);
  document.documentElement.dataset.ready = "no";
});
