// A quiet page that asks for touches, one after the other, and reads where the cursor went.
import { text } from "../texts.js";
import { pageZoom, screenPx } from "../screen.js";

const BOUNCE_MS = 250;
const NOTHING_MS = 15000;
const SVG = "http://www.w3.org/2000/svg";

// How the page lies on its screen, for the server, which works out the pixels.
export const frame = () => ({
  ratio: devicePixelRatio,
  inner: [innerWidth, innerHeight],
  screen: screenPx(),
  full: Boolean(document.fullscreenElement),
  zoomed: pageZoom() !== 1,
  pinched: Boolean(window.visualViewport && Math.abs(visualViewport.scale - 1) > 0.01),
});

// In a click: later no browser allows it.
export const fillScreen = () =>
  document.documentElement.requestFullscreen?.().catch(() => {}) ?? Promise.resolve();

export async function leaveScreen() {
  if (document.fullscreenElement) await document.exitFullscreen().catch(() => {});
}

// A window comes to its size a little after the promise.
export const settled = () =>
  new Promise((resolve) => {
    setTimeout(() => requestAnimationFrame(() => resolve()), 120);
  });

// Asks for the crosses; gives { touches, frame, mouse }, or null where somebody left.
export function touching(dialog, crosses) {
  return new Promise((resolve) => {
    const which = dialog.querySelector(".which");
    const place = dialog.querySelector(".place");
    const slip = dialog.querySelector(".slip");
    const picture = dialog.querySelector(".where");
    const marks = drawn(picture, crosses);
    let touches = [];
    let dots = [];
    let kinds = [];
    let pens = 0;
    let last = 0;
    let now = frame();
    let waiting = 0;
    const fingers = new Set();

    const tell = (name) => {
      slip.textContent = name ? text(name) : "";
    };
    const wait = () => {
      clearTimeout(waiting);
      waiting = setTimeout(() => tell("no_touch"), NOTHING_MS);
    };
    function ask() {
      const cross = crosses[touches.length];
      which.textContent = String(cross.number);
      place.textContent = cross.words;
      for (const [index, mark] of marks.entries())
        mark.classList.toggle("asked", index === touches.length);
      wait();
    }
    function again() {
      if (!touches.length) return;
      touches.pop();
      kinds.pop();
      dots.pop()?.remove();
      tell("");
      ask();
    }
    function anew() {
      for (const dot of dots) dot.remove();
      touches = [];
      dots = [];
      kinds = [];
      now = frame();
      tell("zoom_changed");
      ask();
    }
    function end(answer) {
      clearTimeout(waiting);
      off.abort();
      for (const dot of dots) dot.remove();
      dialog.close();
      leaveScreen().then(() => resolve(answer));
    }

    function down(event) {
      event.preventDefault();
      if (event.pointerType === "touch") {
        fingers.add(event.pointerId);
        if (fingers.size === 2) again();
        return;
      }
      if (event.button !== 0 || event.timeStamp - last < BOUNCE_MS) return;
      last = event.timeStamp;
      if (event.pointerType === "pen") pens += 1;
      // Who has a pen that says so, and clicks a mouse, did not mean it.
      else if (pens) return tell("mouse_now");
      if (devicePixelRatio !== now.ratio || String(screenPx()) !== String(now.screen))
        return anew();
      tell("");
      touches.push([event.screenX, event.screenY, event.clientX, event.clientY]);
      kinds.push(event.pointerType);
      const dot = document.createElement("i");
      dot.className = "touched";
      dot.style.left = `${event.clientX}px`;
      dot.style.top = `${event.clientY}px`;
      dialog.append(dot);
      dots.push(dot);
      if (touches.length < crosses.length) return ask();
      end({ touches, frame: now, mouse: kinds.includes("mouse") });
    }
    function up(event) {
      if (event.pointerType !== "touch") return;
      if (fingers.size === 1) tell("finger");
      fingers.delete(event.pointerId);
    }

    const off = new AbortController();
    const on = (target, name, act) => target.addEventListener(name, act, { signal: off.signal });
    on(dialog, "pointerdown", down);
    on(dialog, "pointerup", up);
    on(dialog, "pointercancel", up);
    on(dialog, "contextmenu", (event) => event.preventDefault());
    on(dialog, "cancel", (event) => {
      event.preventDefault();
      end(null);
    });
    on(dialog, "keydown", (event) => {
      if (event.key !== " ") return;
      event.preventDefault();
      if (!event.repeat) again();
    });
    on(window, "blur", () => tell("other_window"));
    // Escape in full screen is the browser's own.
    on(document, "fullscreenchange", () => {
      if (now.full && !document.fullscreenElement) end(null);
    });

    dialog.showModal();
    tell("");
    ask();
  });
}

// The crosses as they lie on the sheet, drawn small.
function drawn(picture, crosses) {
  const most = (key) => Math.max(...crosses.map((each) => each[key]));
  const least = (key) => Math.min(...crosses.map((each) => each[key]));
  const room = 0.14 * Math.max(most("x") - least("x"), most("y") - least("y"), 20);
  const box = [
    least("x") - room,
    least("y") - room,
    most("x") - least("x") + 2 * room,
    most("y") - least("y") + 2 * room,
  ];
  picture.setAttribute("viewBox", box.join(" "));
  picture.replaceChildren();
  const put = (name, facts, inside = "") => {
    const node = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(facts)) node.setAttribute(key, value);
    node.textContent = inside;
    return node;
  };
  picture.append(put("rect", { x: box[0], y: box[1], width: box[2], height: box[3] }));
  return crosses.map(({ number, x, y }) => {
    const group = put("g", {});
    const size = room * 0.32;
    group.append(
      put("circle", { cx: x, cy: y, r: size * 1.5 }),
      put("path", { d: `M${x - size} ${y}h${2 * size}M${x} ${y - size}v${2 * size}` }),
      put("text", { x: x + size * 1.2, y: y - size * 1.2, "font-size": room * 0.55 }, number),
    );
    picture.append(group);
    return group;
  });
}
