// What was kept: a setting is got back with the letter in sight and a sentence that says so.
import { buttons, guarded } from "./common.js";

export function open(element, page) {
  buttons(element, page);
  const back = element.querySelector("[data-back]");
  back?.addEventListener("click", () =>
    guarded(back.parentElement, async () => {
      const { say } = await page.ask("back", { revision: back.dataset.back });
      page.did(say);
    }),
  );
  element.querySelector(".beside-present")?.scrollIntoView({ block: "nearest" });
}
