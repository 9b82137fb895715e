// The touch test of the chapter of tests: the sheet is chosen, its crosses are touched, the verdict
// shown.
import { paper, printSheets } from "../shown.js";
import { text } from "../texts.js";
import { guarded } from "./common.js";
import { touching } from "./touching.js";

export function openTouch(element, page) {
  const part = element.querySelector(".touch-test");
  if (!part) return;
  const dialog = part.querySelector("dialog.quiet");
  const line = part.querySelector(".wrong");
  const dots = part.querySelector(".dots");
  const lies = part.querySelector(".lies");
  const chosen = () => part.querySelector("[name=touch-sheet]:checked").value;

  const show = () => {
    dots.hidden = chosen() !== "dots";
    lies.hidden = !["squared", "dots"].includes(chosen());
  };
  for (const radio of part.querySelectorAll("[name=touch-sheet]"))
    radio.addEventListener("change", show);

  const places = (key) => [...part.querySelectorAll(`[data-${key}]`)].map((each) => each.value);
  const asked = () => ({
    sheet: chosen(),
    anywhere: !part.querySelector("[name=touch-laid]").checked,
    dots: places("x").map((x, index) => [x, places("y")[index]]),
    display: part.querySelector("#touch-display")?.value ?? "",
  });

  // What is wrong with the screen is told before anything is touched.
  async function test(verb, more, crosses) {
    line.hidden = true;
    const wanted = { ...asked(), ...more };
    const answer = await touching(dialog, async (frame) => {
      const begun = await page.ask("begin", { ...wanted, frame });
      return crosses ?? begun.crosses;
    });
    if (!answer) return page.say(text("left_untested"));
    await page.ask(verb, { ...wanted, ...answer });
    element.querySelector(".touch-verdict")?.focus();
  }
  const press = (name, act) =>
    part.querySelector(name)?.addEventListener("click", () => guarded(part, act));
  press("[data-touch]", () => test("touched", {}));
  press("[data-more]", () => test("touched", { more: true }));
  press("[data-corner]", () =>
    test("corner", {}, [{ number: "\u2196", x: 0, y: 0, words: text("the_corner") }]),
  );
  press("[data-print]", async () => {
    const sheets = await page.ask("crosses", { paper: paper() });
    printSheets(sheets.print);
  });
}
