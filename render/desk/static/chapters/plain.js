// Chapters of buttons and forms alone.
import { buttons, forms } from "./common.js";

export function open(element, page) {
  buttons(element, page);
  forms(element, page);
}
