// The sentences of this page's own scripts, as Python wrote them down for it.

import { fill } from "../../desk/static/fill.js";

const texts = JSON.parse(document.getElementById("words").textContent);

export const text = (name, slots) => fill(texts[name], slots);
