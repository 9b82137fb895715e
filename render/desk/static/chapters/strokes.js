// The pad in the page, and a drawing that is dropped on it.
import { mountPad } from "../pad/pad.js";
import { buttons, drops } from "./common.js";

export function open(element, page) {
  mountPad(element.querySelector(".pad"), page.say);
  const zone = element.querySelector(".drop");
  if (zone) drops(zone, (file) => page.ask("drop", file));
  buttons(element, page);
}
