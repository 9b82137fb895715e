// A thing of known size, traced on the page or dropped as a picture.
import { buttons, drops, guarded, traceDialog } from "./common.js";

export function open(element, page) {
  const zone = element.querySelector(".trace");
  if (!zone) return; // what reads traces is not here
  const thing = element.querySelector("#took-thing");
  // The file goes as it is, so what it shows goes into the address.
  drops(zone, (file) =>
    page.ask(`picture-${encodeURIComponent(thing.value.trim().replaceAll(" ", "_"))}`, file),
  );
  buttons(element, page);
  const trace = traceDialog(element.querySelector("dialog"), (strokes) =>
    guarded(zone, () => page.ask("trace", { thing: thing.value, strokes })),
  );
  zone.querySelector("[data-trace]").addEventListener("click", trace);
}
