"use strict";
// The hand of the page. All geometry comes from Python as matrices [a, b, c, d, e, f], x' = ax + by + c and
// y' = dx + ey + f; this script applies them to what the pen did, and draws. Strokes are kept in desktop pixels
// (device pixels, the middle of the sheet standing for the middle of the screen that the pen reaches today).
(() => {
  const numbers = JSON.parse(document.getElementById("numbers").textContent);
  const byId = (id) => document.getElementById(id);
  const sheet = byId("sheet");
  const scalePick = byId("scale-pick");
  const [middleX, middleY] = numbers.screen_middle_px;
  const LEVELS = 8; // widths that pressure can give; strokes of one width are drawn in one go
  const NIB_REM = 0.19; // on the sheet, at half pressure
  const PICTURE_NIB_REM = 0.11;

  // Matrices -------------------------------------------------------------------------------------------------

  const apply = (m, x, y) => [m[0] * x + m[1] * y + m[2], m[3] * x + m[4] * y + m[5]];
  const compose = (n, m) => [
    n[0] * m[0] + n[1] * m[3], n[0] * m[1] + n[1] * m[4], n[0] * m[2] + n[1] * m[5] + n[2],
    n[3] * m[0] + n[4] * m[3], n[3] * m[1] + n[4] * m[4], n[3] * m[2] + n[4] * m[5] + n[5],
  ];
  // Half the width and height of the box that holds the image of a box of these half sizes.
  const reach = (m, x, y) => [Math.abs(m[0]) * x + Math.abs(m[1]) * y, Math.abs(m[3]) * x + Math.abs(m[4]) * y];

  // State ----------------------------------------------------------------------------------------------------

  let strokes = []; // {by: "pen" | "mouse" | "touch" | "probe", points: [x, y, pressure, x, y, pressure, ...]}
  const before = []; // earlier lists of strokes, for undo
  let live = null; // the stroke under way, and which pointer draws it
  let livePointer = null;
  let waiting = false; // whether a frame was asked for

  // A view is a canvas and how it sees the strokes. It keeps how far it has drawn them (`strokes` whole ones and
  // `points` of the next), so that a growing stroke costs its new points alone; a stale one is drawn from nothing.
  const view = (canvas, nibRem, colour) => ({
    canvas, nibRem, colour, context: canvas.getContext("2d"), toCanvas: null, stale: true, strokes: 0, points: 0,
  });
  const own = view(sheet, NIB_REM, "result");
  const pictures = [...document.querySelectorAll("canvas[data-picture]")].map((canvas) => ({
    ...view(canvas, PICTURE_NIB_REM, canvas.dataset.role === "hand" ? "hand" : "result"),
    measured: canvas.parentElement.querySelector(".measured"),
    ruler: canvas.parentElement.querySelector(".ruler"),
    label: canvas.getAttribute("aria-label"),
    toMm: numbers.pictures[Number(canvas.dataset.picture)],
  }));
  const views = [own, ...pictures];
  const scaled = pictures.find(({ canvas }) => canvas.dataset.role === "scales");
  let canvasPxPerMm = 1;
  let remPx = 0; // device pixels of the page's letter size: what is drawn grows with what is written

  function change(next) {
    before.push(strokes);
    strokes = next;
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

  // Layout ---------------------------------------------------------------------------------------------------

  function fitCanvas(each) {
    const box = each.canvas.getBoundingClientRect();
    const width = Math.max(1, Math.round(box.width * devicePixelRatio));
    const height = Math.max(1, Math.round(box.height * devicePixelRatio));
    if (each.canvas.width !== width || each.canvas.height !== height) {
      each.canvas.width = width;
      each.canvas.height = height;
      each.stale = true;
    }
  }

  function aim(each, m) {
    each.stale ||= !each.toCanvas || own.stale || m.some((value, index) => value !== each.toCanvas[index]);
    each.toCanvas = m;
  }

  function layOut() {
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize) * devicePixelRatio;
    own.stale ||= rem !== remPx;
    remPx = rem;
    fitCanvas(own);
    const box = sheet.getBoundingClientRect();
    document.documentElement.style.setProperty("--sheet-ratio", `${box.width} / ${box.height}`);
    // A canvas has whole pixels and its box has not: this keeps the ink under the pen up to the edges.
    const across = sheet.width / (box.width * devicePixelRatio);
    const down = sheet.height / (box.height * devicePixelRatio);
    aim(own, [across, 0, sheet.width / 2 - across * middleX, 0, down, sheet.height / 2 - down * middleY]);
    pictures.forEach(fitCanvas);
    // One scale for all pictures, such that the whole sheet is seen under each map.
    canvasPxPerMm = Infinity;
    for (const { canvas, toMm } of pictures) {
      const [x, y] = reach(toMm, sheet.width / 2, sheet.height / 2);
      canvasPxPerMm = Math.min(canvasPxPerMm, (0.485 * canvas.width) / x, (0.485 * canvas.height) / y);
    }
    for (const each of pictures) {
      const { width, height } = each.canvas;
      aim(each, compose([canvasPxPerMm, 0, width / 2, 0, canvasPxPerMm, height / 2], each.toMm));
    }
    // The ruler: the longest round length that takes at most a third of the width.
    const widest = Math.min(...pictures.map(({ canvas }) => canvas.width)) / 3;
    const bar = numbers.bars_mm.findLast((mm) => mm * canvasPxPerMm <= widest) ?? numbers.bars_mm[0];
    for (const { ruler } of pictures) {
      ruler.hidden = !numbers.size_known;
      ruler.textContent = `${bar} mm`;
      ruler.style.setProperty("--bar", `${(bar * canvasPxPerMm) / devicePixelRatio}px`);
    }
    const share = (canvasPxPerMm * numbers.today_mm_per_px * 100).toFixed(0);
    byId("scale-note").textContent = numbers.size_known
      ? `Shown at ${share} % of real size.`
      : "The size of a display is not known and was assumed: shapes are right, sizes may not be.";
    document.documentElement.dataset.canvasPxPerMm = String(canvasPxPerMm);
    ask();
  }

  // Drawing --------------------------------------------------------------------------------------------------

  const level = (pressure) => Math.round(Math.min(1, Math.max(0, pressure)) * LEVELS);
  const width = (nib, at) => nib * (0.3 + (1.4 * at) / LEVELS);

  // Draws the points of a stroke from index `from` on, as seen through `m`.
  function ink(context, m, points, from, nib) {
    const count = points.length / 3;
    if (from >= count) return;
    const at = (index) => m[0] * points[3 * index] + m[1] * points[3 * index + 1] + m[2];
    const down = (index) => m[3] * points[3 * index] + m[4] * points[3 * index + 1] + m[5];
    if (count === 1) {
      context.beginPath();
      context.arc(at(0), down(0), width(nib, level(points[2])) / 2, 0, 2 * Math.PI);
      context.fill();
      return;
    }
    let index = Math.max(1, from);
    while (index < count) {
      const now = level(points[3 * index + 2]);
      context.lineWidth = width(nib, now);
      context.beginPath();
      context.moveTo(at(index - 1), down(index - 1));
      while (index < count && level(points[3 * index + 2]) === now) {
        context.lineTo(at(index), down(index));
        index += 1;
      }
      context.stroke();
    }
  }

  const colours = {};
  function readColours() {
    const style = getComputedStyle(document.documentElement);
    // Through an element, so that system colours come out as colours that a canvas knows.
    const probe = document.createElement("span");
    probe.hidden = true;
    document.body.append(probe);
    for (const name of ["hand", "result", "rule"]) {
      probe.style.color = style.getPropertyValue(`--${name}`);
      colours[name] = getComputedStyle(probe).color;
    }
    probe.remove();
    drawAnew();
  }

  // The edge of the sheet, as the map bends it.
  function frameSheet({ context, toCanvas }) {
    const [x, y] = [sheet.width / 2, sheet.height / 2];
    const unit = remPx / 16;
    context.strokeStyle = colours.rule;
    context.lineWidth = unit;
    context.lineCap = "butt";
    context.setLineDash([2 * unit, 3 * unit]);
    context.beginPath();
    for (const [across, down] of [[-x, -y], [x, -y], [x, y], [-x, y]]) {
      context.lineTo(...apply(toCanvas, middleX + across, middleY + down));
    }
    context.closePath();
    context.stroke();
    context.setLineDash([]);
  }

  function show(each, all) {
    const { canvas, context } = each;
    if (each.stale) {
      context.clearRect(0, 0, canvas.width, canvas.height);
      if (each !== own) frameSheet(each);
      each.strokes = each.points = 0;
      each.stale = false;
    }
    context.lineCap = context.lineJoin = "round";
    context.strokeStyle = context.fillStyle = colours[each.colour];
    for (let index = each.strokes; index < all.length; index += 1) {
      ink(context, each.toCanvas, all[index].points, index === each.strokes ? each.points : 0, each.nibRem * remPx);
    }
    // The last one may still grow.
    each.strokes = Math.max(0, all.length - 1);
    each.points = all.length ? all.at(-1).points.length / 3 : 0;
  }

  function frame() {
    waiting = false;
    const all = live ? [...strokes, live] : strokes;
    for (const each of views) show(each, all);
  }

  // Measuring ------------------------------------------------------------------------------------------------

  // The second moments of the area that a closed stroke holds, as [xx, xy, yy] in px^2; null where it is open.
  function moments(points) {
    const count = points.length / 3;
    if (count < 8) return null;
    const [x0, y0] = points;
    let [left, right, top, bottom] = [x0, x0, y0, y0];
    let [area, mx, my, xx, xy, yy] = [0, 0, 0, 0, 0, 0];
    for (let i = 0; i < count; i += 1) {
      const j = (i + 1) % count;
      const [x, y, u, v] = [points[3 * i] - x0, points[3 * i + 1] - y0, points[3 * j] - x0, points[3 * j + 1] - y0];
      left = Math.min(left, x + x0);
      right = Math.max(right, x + x0);
      top = Math.min(top, y + y0);
      bottom = Math.max(bottom, y + y0);
      const cross = x * v - u * y;
      area += cross / 2;
      mx += ((x + u) * cross) / 6;
      my += ((y + v) * cross) / 6;
      xx += ((x * x + x * u + u * u) * cross) / 12;
      yy += ((y * y + y * v + v * v) * cross) / 12;
      xy += ((x * v + 2 * x * y + 2 * u * v + u * y) * cross) / 24;
    }
    const [wide, tall] = [right - left, bottom - top];
    const gap = Math.hypot(points[3 * count - 3] - x0, points[3 * count - 2] - y0);
    // Open where the ends are far apart; and a line, or a figure of eight, holds no area to speak of.
    if (gap > 0.15 * Math.hypot(wide, tall) || Math.abs(area) < 0.25 * wide * tall || Math.min(wide, tall) < 8) return null;
    return [xx / area - (mx / area) ** 2, xy / area - (mx * my) / area ** 2, yy / area - (my / area) ** 2];
  }

  // What the map `m` makes of it: L M L^T for the linear part L, then the axes of the ellipse of the same moments.
  function shape([xx, xy, yy], m) {
    const [a, b, , d, e] = m;
    const [p, q, r] = [
      a * a * xx + 2 * a * b * xy + b * b * yy,
      a * d * xx + (a * e + b * d) * xy + b * e * yy,
      d * d * xx + 2 * d * e * xy + e * e * yy,
    ];
    const [half, skew] = [(p + r) / 2, Math.hypot((p - r) / 2, q)];
    const [long, short] = [4 * Math.sqrt(half + skew), 4 * Math.sqrt(Math.max(half - skew, 1e-12))];
    const slantDeg = Math.abs((Math.atan2(2 * q, p - r) / 2) * (180 / Math.PI));
    const percent = (long / short - 1) * 100;
    const way = slantDeg < 20 ? "wider than tall" : slantDeg > 70 ? "taller than wide" : "longer one way, along a slant";
    return { percent, words: percent < 0.05 ? "round" : `${percent.toFixed(1)} % ${way}`, long, short };
  }

  function measure() {
    const at = strokes.findLastIndex((stroke) => moments(stroke.points));
    const found = at < 0 ? null : moments(strokes[at].points);
    for (const picture of pictures) {
      const seen = found && shape(found, picture.toMm);
      const size = seen && numbers.size_known ? `, about ${seen.long.toFixed(0)} by ${seen.short.toFixed(0)} mm` : "";
      picture.measured.textContent = seen ? `Stroke ${at + 1}: ${seen.words}${size}` : "";
      picture.canvas.setAttribute("aria-label", picture.label + (seen ? ` Stroke ${at + 1} is ${seen.words} here.` : ""));
    }
    return found && { at, moments: found };
  }

  function report() {
    const found = measure();
    if (found && found.at === strokes.length - 1) {
      const here = shape(found.moments, numbers.pictures[1]);
      const hand = shape(found.moments, numbers.pictures[0]);
      say(`Stroke ${found.at + 1}: here it is ${here.words}; as your hand drew it, it is ${hand.words}.`);
    } else if (strokes.length) {
      say(`Stroke ${strokes.length} is open. Close a shape to have it measured.`);
    }
  }

  const say = (text) => { byId("said").textContent = text; };

  // The pen --------------------------------------------------------------------------------------------------

  function take(event) {
    const box = sheet.getBoundingClientRect();
    const all = event.getCoalescedEvents?.() ?? [];
    for (const each of all.length ? all : [event]) {
      const x = middleX + (each.clientX - box.left - box.width / 2) * devicePixelRatio;
      const y = middleY + (each.clientY - box.top - box.height / 2) * devicePixelRatio;
      const last = live.points.length - 3;
      if (last >= 0 && live.points[last] === x && live.points[last + 1] === y) continue;
      // A mouse and most fingers know no pressure: half of it is a line of the nib's own width. A pen that is being
      // lifted says 0: its line ends as thick as it was.
      const pressure = live.by === "pen" ? each.pressure || live.points.at(-1) : 0.5;
      live.points.push(x, y, pressure ?? 0.5);
    }
    ask();
  }

  function finish() {
    const done = live;
    livePointer = live = null;
    change([...strokes, done]);
    ask();
    report();
  }

  sheet.addEventListener("pointerdown", (event) => {
    // A pen that comes down while a finger draws: that was the palm.
    const palm = live && live.by === "touch" && event.pointerType === "pen";
    if ((live && !palm) || event.button !== 0) return;
    if (palm) drawAnew();
    event.preventDefault();
    byId("hint").hidden = true;
    sheet.setPointerCapture(event.pointerId);
    livePointer = event.pointerId;
    live = { by: event.pointerType || "mouse", points: [] };
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

  // Buttons --------------------------------------------------------------------------------------------------

  // A probe is given in units of its size; the size is the largest of the row that leaves a margin on the sheet.
  function probe(name) {
    const m = numbers.hand_mm_to_desktop_px;
    const fits = (mm) => {
      const [x, y] = reach(m, mm, mm);
      return x <= 0.46 * sheet.width && y <= 0.46 * sheet.height;
    };
    const size = numbers.probe_sizes_mm.findLast(fits) ?? numbers.probe_sizes_mm[0];
    const made = numbers.probes[name].map((line) => ({
      by: "probe",
      points: line.flatMap(([x, y]) => [...apply(m, x * size, y * size), 0.5]),
    }));
    byId("hint").hidden = true;
    change([...strokes, ...made]);
    ask();
    if (name === "circle") {
      report();
    } else {
      measure();
      say(`A grid of squares, ${2 * size} mm across under your hand, as it lands here and under each map.`);
    }
  }

  byId("circle").addEventListener("click", () => probe("circle"));
  byId("grid").addEventListener("click", () => probe("grid"));
  byId("undo").addEventListener("click", undo);
  byId("clear").addEventListener("click", () => {
    if (strokes.length) change([]);
    drawAnew();
    measure();
    say("Cleared. Undo brings the strokes back.");
  });

  function undo() {
    if (live) return;
    if (!before.length) {
      say("Nothing to undo.");
      return;
    }
    strokes = before.pop();
    drawAnew();
    measure();
    say(`Undone: ${strokes.length} ${strokes.length === 1 ? "stroke" : "strokes"} on the sheet.`);
  }

  addEventListener("keydown", (event) => {
    if ((event.ctrlKey || event.metaKey) && !event.shiftKey && !event.altKey && event.key.toLowerCase() === "z") {
      event.preventDefault();
      undo();
    }
  });

  if (scaled) {
    const pick = () => {
      const chosen = numbers.scales[Number(scalePick.value)];
      scaled.toMm = chosen.desktop_px_to_mm;
      scaled.label = `Scale factor ${chosen.scale}. ${chosen.sentence}`;
      scalePick.setAttribute("aria-valuetext", chosen.scale);
      byId("scale-value").textContent = chosen.scale;
      byId("scale-sentence").textContent = chosen.sentence;
      byId("scale-enter").textContent = chosen.enter;
      if (own.toCanvas) layOut();
      measure();
    };
    scalePick.addEventListener("input", pick);
    pick(); // a browser may have kept the slider where it stood
  }

  // Keeping --------------------------------------------------------------------------------------------------

  const short = (number) => String(Math.round(number * 1000) / 1000 + 0); // + 0: no -0
  const triples = (points) => Array.from({ length: points.length / 3 }, (_, i) => points.slice(3 * i, 3 * i + 3));

  const lines = (rows) =>
    `[\n${rows.map((row) => `  [${row.map((point) => `[${point.map(short).join(", ")}]`).join(", ")}]`).join(",\n")}\n]`;

  // What the pen did on the screen, for measuring; and what the hand did, for drawing it again.
  function asJson() {
    const screenRows = strokes.map((stroke) => triples(stroke.points));
    const handRows = screenRows.map((row) => row.map(([x, y, pressure]) => [...apply(numbers.desktop_px_to_seen_mm, x, y), pressure]));
    return (
      `{"evenstroke_strokes": 1, "frame": "desktop_px", "strokes": ${lines(screenRows)},\n` +
      `"hand": {"frame": "seen_mm", "unit": "mm", "strokes": ${lines(handRows)}}}\n`
    );
  }

  function asSvg() {
    const [wide, tall] = [sheet.width, sheet.height];
    const box = [middleX - wide / 2, middleY - tall / 2, wide, tall].map(short).join(" ");
    const paths = strokes.map(({ points }) => {
      const all = triples(points);
      const mean = all.reduce((sum, each) => sum + each[2], 0) / all.length;
      const thick = short(width(NIB_REM * remPx, mean * LEVELS));
      const way = all.map(([x, y]) => `${short(x)} ${short(y)}`);
      if (way.length === 1) way.push(way[0]); // a dot is a line of no length with round ends
      return `<path stroke-width="${thick}" d="M${way.join(" L")}"/>`;
    });
    return (
      `<svg xmlns="http://www.w3.org/2000/svg" width="${wide}" height="${tall}" viewBox="${box}">\n` +
      `<title>Strokes from the Evenstroke pad, in desktop pixels</title>\n` +
      `<g fill="none" stroke="#000000" stroke-linecap="round" stroke-linejoin="round">\n${paths.join("\n")}\n</g>\n</svg>\n`
    );
  }

  async function keep(kind) {
    if (!strokes.length) {
      say("There is no stroke to keep yet.");
      return;
    }
    const type = kind === "svg" ? "image/svg+xml" : "application/json";
    const text = kind === "svg" ? asSvg() : asJson();
    if (!numbers.served_as) {
      const link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([text], { type }));
      link.download = `${numbers.file_stem}-strokes.${kind}`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 60000);
      say(`Kept as ${link.download}, where your browser puts downloads.`);
      return;
    }
    try {
      const answer = await fetch("strokes", { method: "POST", headers: { "Content-Type": type }, body: text });
      const words = await answer.text();
      say(answer.ok ? `Saved as ${words}, beside the profile.` : `Not saved: ${words}`);
    } catch {
      say("Not saved: evenstroke pad --serve is no longer running.");
    }
  }

  byId("keep-svg").addEventListener("click", () => keep("svg"));
  byId("keep-json").addEventListener("click", () => keep("json"));

  if (numbers.served_as) {
    // The server stops by itself when no page says that it is still there.
    const tell = (word) => navigator.sendBeacon(word, numbers.served_as);
    setInterval(() => tell("here"), 20000);
    addEventListener("pagehide", () => tell("bye"));
    addEventListener("pageshow", (event) => { if (event.persisted) tell("here"); });
  }

  // Start ----------------------------------------------------------------------------------------------------

  function compareScreen() {
    const [wide, tall] = [Math.round(screen.width * devicePixelRatio), Math.round(screen.height * devicePixelRatio)];
    const known = numbers.displays_px.some(([w, h]) => Math.abs(w - wide) <= 2 && Math.abs(h - tall) <= 2);
    const expected = numbers.displays_px.map(([w, h]) => `${w} x ${h}`).join(" or ");
    byId("screen-note").hidden = known;
    byId("screen-note").textContent =
      `This screen says it has ${wide} x ${tall} pixels; the profile expects ${expected}. ` +
      "The figures hold for the profile's display: open this page there, at 100 % page zoom.";
  }

  readColours();
  compareScreen();
  layOut();
  new ResizeObserver(() => requestAnimationFrame(layOut)).observe(sheet);
  addEventListener("resize", () => { compareScreen(); layOut(); });
  for (const query of ["(prefers-color-scheme: dark)", "(forced-colors: active)"]) {
    matchMedia(query).addEventListener("change", readColours);
  }
})();
