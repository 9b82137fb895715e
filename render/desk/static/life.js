// Signs of life, so that the program ends with its last page and not before.

import { root } from "./place.js";

const EVERY_MS = 20000;
const name = Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) =>
  byte.toString(16).padStart(2, "0"),
).join("");
const here = () =>
  fetch(`${root}/here`, { method: "POST", body: name, keepalive: true }).then(
    () => document.dispatchEvent(new Event("answers")),
    () => document.dispatchEvent(new Event("silent")),
  );

here();
setInterval(here, EVERY_MS);
addEventListener("pagehide", () => navigator.sendBeacon(`${root}/bye`, name));
addEventListener("pageshow", (event) => event.persisted && here());
