// The study, and saving it as a page.
import { download } from "../pad/pad_keep.js";
import { wrong } from "./common.js";

export function open(element, page) {
  for (const button of element.querySelectorAll("[data-file]")) {
    button.addEventListener("click", async () => {
      try {
        const { file, name, type } = await page.ask(button.dataset.file, {});
        download(name, type, file);
      } catch (error) {
        wrong(element, error);
      }
    });
  }
}
