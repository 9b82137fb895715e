// The page that holds the pad alone.

import "./life.js";
import { mountPad } from "./pad/pad.js";

mountPad(document.querySelector(".pad"));
document.documentElement.dataset.ready = "pad";
