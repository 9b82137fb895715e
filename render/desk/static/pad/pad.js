// The pad: a sheet to draw on, and the same strokes under every map. All geometry of maps comes
// from Python as matrices [a, b, c, d, e, f], x' = ax + by + c and y' = dx + ey + f; this script
// applies them to what the pen did. Strokes are kept in desktop pixels (device pixels, the middle
// of the sheet standing for the middle of the screen that the pen reaches today).
import { fill } from "../fill.js";
import { apply, compose, shapeOf } from "./pad_shape.js";
import { blindResult, blindSentence, shapeWords, sizeWords, strokeSentence } from "./pad_words.js";
import {
  NIB_REM,
  PICTURE_NIB_REM,
  drawCross,
  fitCanvas,
  makeView,
  show,
  showBlind,
} from "./pad_views.js";
import { Unreadable, asJson, asSvg, download, fromJson, remember, remembered } from "./pad_keep.js";
import { only } from "./pad_modal.js";
import { screenNote } from "./pad_screen.js";
import { drawSpread } from "./pad_spread.js";

const ERASER_REM = 0.6;
const BLIND_MOST = 5;
const ERASER = 5; // Pointer Events Level 3, 11.1.1: the button of a pen's eraser

// Half the width and height of the box that holds the image of a box of these half sizes.
const reach = (m, x, y) => [
  Math.abs(m[0]) * x + Math.abs(m[1]) * y,
  Math.abs(m[3]) * x + Math.abs(m[4]) * y,
];

// Whether two matrices move a hand differently, wherever they begin.
const linearDiffers = (one, two) =>
  [0, 1, 3, 4].some((index) => Math.abs(one[index] - two[index]) > 1e-9);

// `speak` says a sentence in the page's polite region.
export function mountPad(root, speak) {
  const numbers = JSON.parse(root.querySelector("[data-pad=numbers]").textContent);
  const part = (name) => root.querySelector(`#pad-${name}`);
  const say = (name, slots) => fill(numbers.texts[name], slots);
  const sheet = part("sheet");
  const scalePick = part("scale-pick");
  const [middleX, middleY] = numbers.screen_middle_px;
  const hand = numbers.pictures[0];
  const today = numbers.pictures[1];

  // State -----------------------------------------------------------------------------------------

  // {drawn: "seen" | "blind" | "shape", by: "pen" | "mouse" | "touch", points}; the points are
  // [x, y, pressure, ...].
  let strokes = [];
  let before = []; // earlier lists of strokes, for undo
  let after = []; // later ones, for redo
  let live = null; // the stroke under way, and which pointer draws it
  let livePointer = null;
  let erasing = null; // what the eraser has left so far
  let blind = false;
  let leave = null; // ends the modal part in which one draws blind
  let spoken = []; // what is said as soon as all of it is known
  let measured = null; // the newest closed stroke: {at, shape}
  let waiting = false; // whether a frame was asked for
  let otherSetting = false; // whether what was remembered was drawn with another setting

  const own = makeView(sheet, NIB_REM, "result");
  const pictures = [...root.querySelectorAll("canvas[data-picture]")].map((canvas) => ({
    ...makeView(canvas, PICTURE_NIB_REM, canvas.dataset.role === "hand" ? "hand" : "result"),
    framed: true,
    measured: canvas.parentElement.querySelector(".measured"),
    ruler: canvas.parentElement.querySelector(".ruler"),
    label: canvas.getAttribute("aria-label"),
    toMm: numbers.pictures[Number(canvas.dataset.picture)],
  }));
  const views = [own, ...pictures];
  const scaled = pictures.find(({ canvas }) => canvas.dataset.role === "scales");
  let canvasPxPerMm = 1;
  // Device pixels of the page's letter size: what is drawn grows with what is written.
  let remPx = 0;

  // Shapes are found once for each stroke.
  const shapes = new WeakMap();
  const shapeIn = (stroke) => {
    if (!shapes.has(stroke)) shapes.set(stroke, shapeOf(stroke.points));
    return shapes.get(stroke);
  };

  function change(next) {
    before.push(strokes);
    after = [];
    set(next);
  }

  function set(next) {
    strokes = next;
    const at = strokes.findLastIndex(shapeIn);
    measured = at < 0 ? null : { at, shape: shapeIn(strokes[at]) };
    store();
    drawAnew();
    measure();
  }

  function store() {
    const rows = strokes.map(({ drawn, by, points }) => [
      drawn,
      by,
      points.map((value) => Math.round(value * 100) / 100),
    ]);
    const text = JSON.stringify({ middle: [middleX, middleY], hand, rows });
    part("store-note").hidden =
      remember(`evenstroke pad ${numbers.file_stem}`, text) || !strokes.length;
  }

  function restore() {
    try {
      const { middle, hand: then, rows } = JSON.parse(
        remembered(`evenstroke pad ${numbers.file_stem}`),
      );
      // Drawn with another setting, the hand made the same movement: it lands elsewhere now.
      const other = then?.some((value, index) => Math.abs(value - hand[index]) > 1e-9);
      const now = other
        ? compose(numbers.hand_mm_to_desktop_px, then)
        : [1, 0, middleX - middle[0], 0, 1, middleY - middle[1]];
      const moved = (points) =>
        points.map((value, i) => {
          if (i % 3 === 2) return value;
          return apply(now, ...points.slice(i - (i % 3), i - (i % 3) + 2))[i % 3];
        });
      otherSetting = Boolean(other && linearDiffers(then, hand));
      return rows.map(([drawn, by, points]) => ({ drawn, by, points: moved(points) }));
    } catch {
      return []; // nothing was remembered, or nothing that can be read
    }
  }

  function drawAnew() {
    for (const each of views) each.stale = true;
    ask();
  }

  function ask() {
    if (!waiting) {
      waiting = true;
      requestAnimationFrame(frame);
    }
  }

  // Layout ----------------------------------------------------------------------------------------

  function aim(each, m) {
    each.stale ||=
      !each.toCanvas || own.stale || m.some((value, index) => value !== each.toCanvas[index]);
    each.toCanvas = m;
  }

  function layOut() {
    const box = sheet.getBoundingClientRect();
    if (!box.width) return; // in a chapter that is closed
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize) * devicePixelRatio;
    own.stale ||= rem !== remPx;
    remPx = rem;
    fitCanvas(own);
    if (!blind) root.style.setProperty("--sheet-ratio", `${box.width} / ${box.height}`);
    // A canvas has whole pixels and its box has not: this keeps the ink under the pen up to the
    // edges.
    const across = sheet.width / (box.width * devicePixelRatio);
    const down = sheet.height / (box.height * devicePixelRatio);
    aim(own, [
      across,
      0,
      sheet.width / 2 - across * middleX,
      0,
      down,
      sheet.height / 2 - down * middleY,
    ]);
    if (!blind) layOutPictures();
    ask();
  }

  function layOutPictures() {
    // What is folded away has no size.
    const seen = pictures.filter(({ canvas }) => canvas.getBoundingClientRect().width);
    seen.forEach(fitCanvas);
    // One scale for all pictures, such that the whole sheet is seen under each map and under each
    // step of the slider: its picture grows, the others stay.
    canvasPxPerMm = Infinity;
    for (const each of seen) {
      for (const m of each === scaled
        ? numbers.scales.map((step) => step.desktop_px_to_mm)
        : [each.toMm]) {
        const [x, y] = reach(m, sheet.width / 2, sheet.height / 2);
        canvasPxPerMm = Math.min(
          canvasPxPerMm,
          (0.485 * each.canvas.width) / x,
          (0.485 * each.canvas.height) / y,
        );
      }
    }
    aimPictures();
    // The ruler: the longest round length that takes at most a third of the width.
    const widest = Math.min(...seen.map(({ canvas }) => canvas.width)) / 3;
    const bar =
      numbers.bars_mm.findLast((mm) => mm * canvasPxPerMm <= widest) ?? numbers.bars_mm[0];
    for (const { ruler } of pictures) {
      ruler.hidden = !numbers.size_known;
      ruler.textContent = `${bar} mm`;
      ruler.style.setProperty("--bar", `${(bar * canvasPxPerMm) / devicePixelRatio}px`);
    }
    const share = (canvasPxPerMm * numbers.today_mm_per_px * 100).toFixed(0);
    part("scale-note").textContent = numbers.size_known
      ? say("shown_at", { percent: share })
      : say("size_assumed");
    root.dataset.canvasPxPerMm = String(canvasPxPerMm);
  }

  function aimPictures() {
    for (const each of pictures) {
      const { width, height } = each.canvas;
      aim(each, compose([canvasPxPerMm, 0, width / 2, 0, canvasPxPerMm, height / 2], each.toMm));
    }
  }

  // Drawing ---------------------------------------------------------------------------------------

  const colours = {};
  function readColours() {
    const style = getComputedStyle(root);
    // Through an element, so that system colours come out as colours that a canvas knows.
    const probe = document.createElement("span");
    probe.hidden = true;
    root.append(probe);
    for (const name of ["hand", "result", "rule", "ghost"]) {
      probe.style.color = style.getPropertyValue(`--${name}`);
      colours[name] = getComputedStyle(probe).color;
    }
    probe.remove();
    drawAnew();
  }

  const cross = () => [middleX, middleY - 0.28 * sheet.height];

  function frame() {
    waiting = false;
    if (!own.toCanvas) return;
    const [x, y] = [sheet.width / 2, sheet.height / 2];
    const edge = [
      [-x, -y],
      [x, -y],
      [x, y],
      [-x, y],
    ].map(([right, down]) => [middleX + right, middleY + down]);
    const look = { colours, remPx, edge, shape: live || erasing ? null : measured?.shape };
    if (blind && live) {
      showBlind(own, live.points, cross(), look);
      return;
    }
    if (blind) {
      // The last stroke alone, and no form over it that could guide the next.
      own.stale = true;
      show(
        own,
        strokes.slice(-1).filter(({ drawn }) => drawn === "blind"),
        { ...look, shape: null },
      );
      drawCross(own, cross(), look);
      return;
    }
    const all = erasing ?? (live ? [...strokes, live] : strokes);
    for (const each of views) if (each.toCanvas) show(each, all, look);
  }

  // Measuring -------------------------------------------------------------------------------------

  function measure() {
    for (const picture of pictures) {
      const shape = measured ? shapeWords(say, measured.shape, picture.toMm) : "";
      const size =
        measured && numbers.size_known ? sizeWords(say, measured.shape, picture.toMm) : "";
      picture.measured.textContent = size ? say("shape_and_size", { shape, size }) : shape;
      picture.canvas.setAttribute(
        "aria-label",
        measured
          ? say("picture_and_stroke", { picture: picture.label, number: measured.at + 1, shape })
          : picture.label,
      );
    }
    const drawnBlind = strokes
      .filter((stroke) => stroke.drawn === "blind" && shapeIn(stroke))
      .slice(-BLIND_MOST);
    part("blind-part").hidden = !drawnBlind.length;
    if (drawnBlind.length) {
      const result = blindResult(drawnBlind.map(shapeIn), hand, today);
      part("blind-words").textContent = blindSentence(
        say,
        drawnBlind.length,
        result,
        numbers.setting,
        numbers.setting_percent,
      );
      drawSpread(say, part("blind-picture"), result);
    }
  }

  // The sentence at the top, after something was drawn.
  function report() {
    const last = strokes.length - 1;
    if (last < 0) return;
    if (measured?.at === last) {
      verdict(strokeSentence(say, measured.shape, { hand, today, setting: numbers.setting }));
    } else {
      tell(say("stroke_open", { number: last + 1 }));
    }
  }

  function verdict(text) {
    part("said").textContent = text;
    aloud(text);
    part("told").textContent = "";
  }
  const tell = (text) => {
    part("told").textContent = text;
    aloud(text);
  };

  function aloud(text) {
    if (text && spoken.push(text) === 1) setTimeout(utter);
  }

  function utter() {
    speak(spoken.join(" "));
    spoken = [];
  }

  // The pen ---------------------------------------------------------------------------------------

  function points(event) {
    const box = sheet.getBoundingClientRect();
    const all = event.getCoalescedEvents?.() ?? [];
    return (all.length ? all : [event]).map((each) => [
      middleX + (each.clientX - box.left - box.width / 2) * devicePixelRatio,
      middleY + (each.clientY - box.top - box.height / 2) * devicePixelRatio,
      each.pressure,
    ]);
  }

  function take(event) {
    for (const [x, y, force] of points(event)) {
      if (erasing) {
        erase(x, y);
        continue;
      }
      const last = live.points.length - 3;
      if (last >= 0 && live.points[last] === x && live.points[last + 1] === y) continue;
      // A mouse and most fingers know no pressure: half of it is a line of the nib's own width. A
      // pen that is being lifted says 0: its line ends as thick as it was.
      const pressure = live.by === "pen" ? force || live.points.at(-1) : 0.5;
      live.points.push(x, y, pressure ?? 0.5);
    }
    ask();
  }

  // Takes away every stroke that passes under the eraser.
  function erase(x, y) {
    const radius = ERASER_REM * remPx;
    const near = ({ points: at }) => {
      for (let i = 0; i < at.length; i += 3) {
        const j = Math.min(i + 3, at.length - 3);
        const [dx, dy] = [at[j] - at[i], at[j + 1] - at[i + 1]];
        const along = Math.min(
          1,
          Math.max(0, ((x - at[i]) * dx + (y - at[i + 1]) * dy) / (dx * dx + dy * dy || 1)),
        );
        if (Math.hypot(at[i] + along * dx - x, at[i + 1] + along * dy - y) <= radius) return true;
      }
      return false;
    };
    const left = erasing.filter((stroke) => !near(stroke));
    if (left.length < erasing.length) {
      erasing = left;
      drawAnew();
    }
  }

  function finish() {
    livePointer = null;
    if (erasing) {
      const gone = strokes.length - erasing.length;
      const left = erasing;
      erasing = null;
      if (gone) {
        change(left);
        tell(say("erased", { count: gone }));
      }
      return;
    }
    const done = live;
    live = null;
    change([...strokes, done]);
    report();
    if (blind) afterBlind(done);
  }

  sheet.addEventListener("pointerdown", (event) => {
    // A pen that comes down while a finger draws: that was the palm.
    const palm = live && live.by === "touch" && event.pointerType === "pen";
    const eraser = event.button === ERASER;
    if (((live || erasing) && !palm) || (event.button !== 0 && !eraser)) return;
    if (palm) drawAnew();
    event.preventDefault();
    // The keys that undo are the pad's while one draws there.
    if (!root.contains(document.activeElement)) sheet.focus({ preventScroll: true });
    part("hint").hidden = true;
    try {
      sheet.setPointerCapture(event.pointerId);
    } catch {
      // A pointer that is gone again cannot be captured, and need not be.
    }
    livePointer = event.pointerId;
    if (eraser) [live, erasing] = [null, strokes];
    else live = { drawn: blind ? "blind" : "seen", by: event.pointerType || "mouse", points: [] };
    drawAnew(); // the form over the last shape goes while the pen is down
    take(event);
  });
  sheet.addEventListener("pointermove", (event) => {
    if (event.pointerId === livePointer) take(event);
  });
  for (const name of ["pointerup", "pointercancel", "lostpointercapture"]) {
    sheet.addEventListener(name, (event) => {
      if (event.pointerId !== livePointer) return;
      if (name === "pointerup") take(event);
      finish();
    });
  }
  sheet.addEventListener("contextmenu", (event) => event.preventDefault());

  // Draw blind ------------------------------------------------------------------------------------

  function goBlind(on) {
    if (live || blind === on) return;
    blind = on;
    root.classList.toggle("blind", on);
    root.toggleAttribute("data-busy", on);
    if (on) leave = only(sheet.parentElement, part("blind").textContent);
    else leave();
    part("hint").hidden = true;
    part("blind").setAttribute("aria-pressed", String(on));
    if (on) blindAsks(say("blind_start"));
    (on ? part("blind-leave") : part("blind")).focus();
    layOut();
    drawAnew();
  }

  const blindAsks = (text) => {
    part("blind-asks").textContent = text;
    aloud(text);
  };

  function afterBlind(done) {
    const count = strokes.filter((stroke) => stroke.drawn === "blind" && shapeIn(stroke)).length;
    if (!shapeIn(done))
      blindAsks(say("blind_open"));
    else if (count >= BLIND_MOST) goBlind(false);
    else if (count < 3)
      blindAsks(say("blind_again", { count }));
    else blindAsks(say("blind_enough"));
  }

  part("blind").addEventListener("click", () => goBlind(!blind));
  part("blind-leave").addEventListener("click", () => goBlind(false));

  // Buttons ---------------------------------------------------------------------------------------

  // A probe is given in units of its size; the size is the largest of the row that leaves a margin
  // on the sheet.
  function probe(name) {
    const m = numbers.hand_mm_to_desktop_px;
    const fits = (mm) => {
      const [x, y] = reach(m, mm, mm);
      return x <= 0.46 * sheet.width && y <= 0.46 * sheet.height;
    };
    const size = numbers.probe_sizes_mm.findLast(fits) ?? numbers.probe_sizes_mm[0];
    const made = numbers.probes[name].map((line) => ({
      drawn: "shape",
      by: "pen",
      points: line.flatMap(([x, y]) => [...apply(m, x * size, y * size), 0.5]),
    }));
    part("hint").hidden = true;
    change([...strokes, ...made]);
    if (name === "circle") report();
    else
      tell(say("grid", { size: 2 * size }));
  }

  part("circle").addEventListener("click", () => probe("circle"));
  part("grid").addEventListener("click", () => probe("grid"));
  part("undo").addEventListener("click", () => travel("undo"));
  part("redo").addEventListener("click", () => travel("redo"));
  part("clear").addEventListener("click", () => {
    if (strokes.length) change([]);
    tell(say("cleared"));
  });

  function travel(way) {
    if (live || erasing) return;
    const [from, to] = way === "undo" ? [before, after] : [after, before];
    if (!from.length) {
      tell(say(`nothing_to_${way}`));
      return;
    }
    to.push(strokes);
    set(from.pop());
    report();
    tell(say(`done_${way}`, { count: strokes.length }));
  }

  document.addEventListener("keydown", (event) => {
    if (!root.isConnected) return; // of a chapter that was shown anew
    if (event.key === "Escape" && blind) {
      goBlind(false);
      return;
    }
    // In a page with more than the pad, only while the pad has the attention.
    if (!numbers.alone && !root.contains(document.activeElement)) return;
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    if (key !== "z" && key !== "y") return;
    event.preventDefault();
    travel(key === "y" || event.shiftKey ? "redo" : "undo");
  });

  if (scaled) {
    const pick = () => {
      const chosen = numbers.scales[Number(scalePick.value)];
      scaled.toMm = chosen.desktop_px_to_mm;
      scaled.label = chosen.label;
      scalePick.setAttribute("aria-valuetext", chosen.scale);
      part("scale-value").textContent = chosen.scale;
      part("scale-sentence").textContent = chosen.sentence;
      part("scale-enter").textContent = chosen.enter;
      if (own.toCanvas) aimPictures();
      ask();
      measure();
    };
    scalePick.addEventListener("input", pick);
    pick(); // a browser may have kept the slider where it stood
  }

  // Keeping ---------------------------------------------------------------------------------------

  async function keep(kind) {
    if (!strokes.length) {
      tell(say("no_stroke"));
      return;
    }
    const type = kind === "svg" ? "image/svg+xml" : "application/json";
    const text =
      kind === "svg"
        ? asSvg(strokes, [sheet.width, sheet.height], [middleX, middleY], remPx, say("svg_title"))
        : asJson(strokes, numbers);
    if (!numbers.save_to) {
      const name = `${numbers.file_name}-strokes.${kind}`;
      download(name, type, text);
      tell(say("downloaded", { file: name }));
      return;
    }
    try {
      const answer = await fetch(numbers.save_to, {
        method: "POST",
        headers: { "Content-Type": type },
        body: text,
      });
      const words = await answer.text();
      tell(answer.ok ? say("saved", { file: words }) : say("not_saved", { reason: words }));
    } catch {
      tell(say("no_server"));
    }
  }

  async function open(file) {
    if (!file) return;
    try {
      const read = fromJson(await file.text(), [middleX, middleY]);
      part("hint").hidden = true;
      change([...strokes, ...read]);
      report();
      tell(say("file_read", { file: file.name, count: read.length }));
    } catch (error) {
      if (!(error instanceof Unreadable)) throw error;
      tell(say(error.message, { file: file.name, stroke: error.stroke }));
    }
  }

  part("keep-svg").addEventListener("click", () => keep("svg"));
  part("keep-json").addEventListener("click", () => keep("json"));
  part("open").addEventListener("click", () => part("file").click());
  part("file").addEventListener("change", async () => {
    await open(part("file").files[0]);
    part("file").value = "";
  });
  sheet.addEventListener("dragover", (event) => event.preventDefault());
  sheet.addEventListener("drop", (event) => {
    event.preventDefault();
    open(event.dataTransfer.files[0]);
  });

  // Start -----------------------------------------------------------------------------------------

  function compareScreen() {
    const note = screenNote(say, numbers.displays_px);
    if (note !== part("screen-note").textContent) aloud(note);
    part("screen-note").hidden = !note;
    part("screen-note").textContent = note;
  }

  readColours();
  compareScreen();
  layOut();
  const kept = restore();
  if (kept.length) {
    part("hint").hidden = true;
    set(kept);
    if (otherSetting) tell(say("other_setting"));
    else report();
  }
  new ResizeObserver(() => requestAnimationFrame(layOut)).observe(sheet);
  root.querySelector("details.rest").addEventListener("toggle", layOut);
  addEventListener("resize", () => {
    compareScreen();
    layOut();
  });
  visualViewport?.addEventListener("resize", compareScreen);
  for (const query of ["(prefers-color-scheme: dark)", "(forced-colors: active)"]) {
    matchMedia(query).addEventListener("change", readColours);
  }
}
