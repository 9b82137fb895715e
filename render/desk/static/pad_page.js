// The page that holds the pad alone.

import "./life.js";
import { mountPad } from "./pad/pad.js";
import { say } from "./say.js";

mountPad(document.querySelector(".pad"), say);
document.documentElement.dataset.ready = "pad";
