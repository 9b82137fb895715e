// The page's one polite region: what was done is said there, once, when the hand has come to rest.

const QUIET_MS = 500;
const MOVED_MS = 120;
const region = document.getElementById("say");
const home = region?.parentElement;
let speaking = 0;

// The part that is modal, which makes all else silent and unseen: the innermost of several.
export const modalPart = () =>
  [...document.querySelectorAll("dialog:modal, [aria-modal=true]")].at(-1);

// The region goes to where the person is.
const where = () => modalPart() ?? home;

// It comes back before a dialog that ends takes it away.
addEventListener("close", () => region && region.parentElement !== home && home.append(region), true);

export function say(text) {
  clearTimeout(speaking);
  if (!text || !region) return;
  // The same words again are said again.
  region.textContent = "";
  speaking = setTimeout(speak, QUIET_MS, text);
}

function speak(text) {
  if (region.parentElement !== where()) {
    where().append(region);
    speaking = setTimeout(speak, MOVED_MS, text);
    return;
  }
  region.textContent = text;
}
