// The sentences of the page's scripts, as Python wrote them down for this page.

import { fill } from "./fill.js";

const texts = JSON.parse(document.getElementById("texts").textContent);

export const text = (name, slots) => fill(texts[name], slots);
