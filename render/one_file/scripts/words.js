// The sentences of this page's own scripts, as Python wrote them down for it, in each language.

import { fill } from "../../desk/static/fill.js";
import { remembered } from "./files.js";

const texts = JSON.parse(document.getElementById("words").textContent);

export const text = (name, slots) =>
  fill((texts[document.documentElement.lang] ?? texts.en)[name], slots);

// Until the first page comes, which knows its language: that of the browser, and once the storage
// has answered the one that was chosen before.
export function speakAtOnce(then) {
  const wanted = navigator.languages.map((each) => each.toLowerCase().split("-")[0]);
  const speak = (language) => {
    if (!(language in texts) || document.getElementById("words") === null) return;
    document.documentElement.lang = language;
    document.documentElement.dir = texts[language].direction;
    then();
  };
  speak(wanted.find((each) => each in texts) ?? "en");
  remembered("library-drafts/language").then((content) => {
    if (content) speak(new TextDecoder().decode(content).trim());
  });
}
