// A thing of known size, traced on the page or dropped as a picture.
import { buttons, drops, guarded, traceDialog } from "./common.js";
import { frameDialog } from "./frame.js";
import { openTouch } from "./touch.js";

const PICTURES = ["image/png", "image/jpeg", "image/webp"];

export function open(element, page) {
  buttons(element, page);
  openTouch(element, page);
  const zone = element.querySelector(".trace");
  if (!zone) return; // what reads traces is not here
  const thing = element.querySelector("#took-thing");
  // The file goes as it is, so what it shows, and where, goes into the address.
  const send = (file, part = "") =>
    page.ask(
      `picture-${encodeURIComponent(thing.value.trim().replaceAll(" ", "_"))}${part}`,
      file,
    );
  const frame = frameDialog(element.querySelector("dialog.frame"), (file, [x, y, wide, high]) =>
    guarded(zone, () => ask(file, `~${x},${y},${wide}x${high}px`)),
  );
  const ask = async (file, part) => {
    try {
      await send(file, part);
    } catch (error) {
      // Where the whole picture is no answer, a part of it may be.
      if (!PICTURES.includes(file.type)) throw error;
      await frame(file, error.message);
    }
  };
  drops(zone, (file) => ask(file));
  const trace = traceDialog(element.querySelector("dialog.tracing"), (strokes) =>
    guarded(zone, () => page.ask("trace", { thing: thing.value, strokes })),
  );
  zone.querySelector("[data-trace]").addEventListener("click", trace);
}
