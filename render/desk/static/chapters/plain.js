// Chapters of buttons and forms alone.
import { buttons, drops, forms } from "./common.js";

export function open(element, page) {
  buttons(element, page);
  forms(element, page);
  for (const zone of element.querySelectorAll("[data-drop]")) drops(zone, page);
}
