// A thing of known size, traced on the page or dropped as a picture.
import { buttons, drops, tracing, wrong } from "./common.js";

export function open(element, page) {
  const zone = element.querySelector(".trace");
  const thing = element.querySelector("#took-thing");
  // The file goes as it is, so what it shows goes into the address.
  const named = { ask: (_, blob) => page.ask(`picture-${encodeURIComponent(thing.value.trim().replaceAll(" ", "_"))}`, blob) };
  drops(zone, named);
  buttons(element, page);
  traceDialog(element.querySelector("dialog"), zone.querySelector("[data-trace]"), async (strokes) => {
    try {
      await page.ask("trace", { thing: thing.value, strokes });
    } catch (error) {
      wrong(zone, error);
    }
  });
}

export function traceDialog(dialog, opener, done) {
  const ready = dialog.querySelector("[data-measure-it]");
  const sheet = tracing(dialog.querySelector("canvas"), (strokes) => { ready.disabled = !strokes.length; });
  opener.addEventListener("click", () => { sheet.clear(); dialog.showModal(); });
  dialog.querySelector("[data-again]").addEventListener("click", sheet.clear);
  dialog.querySelector("[data-leave]").addEventListener("click", () => dialog.close());
  ready.addEventListener("click", async () => {
    const strokes = sheet.strokes();
    dialog.close();
    await done(strokes);
  });
}
