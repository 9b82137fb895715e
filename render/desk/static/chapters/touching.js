// A quiet page that asks for touches, one after the other, and reads where the cursor went.
import { text } from "../texts.js";
import { isPinched, pageZoom, screenPx } from "../screen.js";

const BOUNCE_MS = 250;
const NOTHING_MS = 15000;
const SVG = "http://www.w3.org/2000/svg";

// How the page lies on its screen, for the server, which works out the pixels.
const frame = () => ({
  ratio: devicePixelRatio,
  inner: [innerWidth, innerHeight],
  screen: screenPx(),
  full: Boolean(document.fullscreenElement),
  zoomed: pageZoom() !== 1,
  pinched: isPinched(),
});

// In a click: later no browser allows it.
const fillScreen = () =>
  document.documentElement.requestFullscreen?.().catch(() => {}) ?? Promise.resolve();

async function leaveScreen() {
  if (document.fullscreenElement) await document.exitFullscreen().catch(() => {});
}

// A window comes to its size a little after the promise.
const settled = () =>
  new Promise((resolve) => {
    setTimeout(() => requestAnimationFrame(() => resolve()), 120);
  });

// Fills the screen while crosses are touched: those that `begin` gives for the page as it then lies
// on its screen. Gives { touches, frame, mouse }, or nothing where somebody left or there are none.
export async function touching(dialog, begin) {
  await fillScreen();
  try {
    await settled();
    const crosses = await begin(frame());
    return crosses && (await touched(dialog, crosses));
  } finally {
    await leaveScreen();
  }
}

function touched(dialog, crosses) {
  return new Promise((resolve) => {
    const which = dialog.querySelector(".which");
    const place = dialog.querySelector(".place");
    const slip = dialog.querySelector(".slip");
    const picture = dialog.querySelector(".where");
    const marks = drawn(picture, crosses);
    // Each touch: its place, the kind of pointer, and the dot that shows it.
    let touches = [];
    let hadPen = false;
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
      touches.pop().dot.remove();
      tell("");
      ask();
    }
    function anew() {
      for (const { dot } of touches) dot.remove();
      touches = [];
      now = frame();
      tell("zoom_changed");
      ask();
    }
    function end(answer) {
      clearTimeout(waiting);
      off.abort();
      for (const { dot } of touches) dot.remove();
      dialog.close();
      resolve(answer);
    }

    function down(event) {
      event.preventDefault();
      if (event.pointerType === "touch") {
        fingers.add(event.pointerId);
        if (fingers.size === 2) again();
        if (fingers.size === 3) end(null);
        return;
      }
      if (event.button !== 0 || event.timeStamp - last < BOUNCE_MS) return;
      last = event.timeStamp;
      if (event.pointerType === "pen") hadPen = true;
      // Who has a pen that says so, and clicks a mouse, did not mean it.
      else if (hadPen) return tell("mouse_now");
      if (devicePixelRatio !== now.ratio || String(screenPx()) !== String(now.screen))
        return anew();
      tell("");
      const dot = document.createElement("i");
      dot.className = "touched";
      dot.style.left = `${event.clientX}px`;
      dot.style.top = `${event.clientY}px`;
      dialog.append(dot);
      const at = [event.screenX, event.screenY, event.clientX, event.clientY];
      touches.push({ at, kind: event.pointerType, dot });
      if (touches.length < crosses.length) return ask();
      end({
        touches: touches.map((each) => each.at),
        frame: now,
        mouse: touches.some((each) => each.kind === "mouse"),
      });
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
