// Strokes as files, and back: points as JSON, drawings as SVG, and what the browser holds over a
// reload.
import { apply } from "./pad_shape.js";
import { NIB_REM, nibWidth } from "./pad_views.js";

const short = (number) => String(Math.round(number * 1000) / 1000 + 0); // + 0: no -0
const triples = (points) =>
  Array.from({ length: points.length / 3 }, (_, i) => points.slice(3 * i, 3 * i + 3));
const lines = (rows) =>
  `[\n${rows.map((row) => `  [${row.map((point) => `[${point.map(short).join(", ")}]`).join(", ")}]`).join(",\n")}\n]`;

// What the pen did on the screen, for measuring; and what the hand did, for drawing it again.
// `drawn`, one for each stroke: "seen", "blind" or "shape" (made by a button).
export function asJson(strokes, numbers) {
  const onScreen = strokes.map((stroke) => triples(stroke.points));
  const byHand = onScreen.map((row) =>
    row.map(([x, y, pressure]) => [...apply(numbers.desktop_px_to_seen_mm, x, y), pressure]),
  );
  return (
    `{"evenstroke_strokes": 1, "frame": "desktop_px", "middle_px": [${numbers.screen_middle_px.map(short).join(", ")}],\n` +
    `"drawn": ${JSON.stringify(strokes.map((stroke) => stroke.drawn))},\n"strokes": ${lines(onScreen)},\n` +
    `"hand": {"frame": "seen_mm", "unit": "mm", "strokes": ${lines(byHand)}}}\n`
  );
}

export function asSvg(strokes, [wide, tall], [middleX, middleY], remPx, title) {
  const box = [middleX - wide / 2, middleY - tall / 2, wide, tall].map(short).join(" ");
  const paths = strokes.map(({ points, drawn }) => {
    const all = triples(points);
    const mean = all.reduce((sum, each) => sum + each[2], 0) / all.length;
    const way = all.map(([x, y]) => `${short(x)} ${short(y)}`);
    if (way.length === 1) way.push(way[0]); // a dot is a line of no length with round ends
    return `<path class="${drawn}" stroke-width="${short(nibWidth(NIB_REM * remPx, mean))}" d="M${way.join(" L")}"/>`;
  });
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${wide}" height="${tall}" viewBox="${box}">\n` +
    `<title>${title}</title>\n` +
    `<g fill="none" stroke="#000000" stroke-linecap="round" stroke-linejoin="round">\n${paths.join("\n")}\n</g>\n</svg>\n`
  );
}

const DRAWN = ["seen", "blind", "shape"];
const finite = (value) =>
  typeof value === "number" && Number.isFinite(value) && Math.abs(value) < 1e6;

// What is wrong with a file: the name of the sentence that says it, and which stroke it is.
export class Unreadable extends Error {
  constructor(name, stroke = 0) {
    super(name);
    this.stroke = stroke;
  }
}

// Strokes of a kept file, moved to where the middle is now. Throws Unreadable.
export function fromJson(text, [middleX, middleY]) {
  let data;
  try {
    data = JSON.parse(text);
  } catch {
    throw new Unreadable("file_not_json");
  }
  if (
    data?.evenstroke_strokes !== 1 ||
    data.frame !== "desktop_px" ||
    !Array.isArray(data.strokes)
  ) {
    throw new Unreadable("file_no_strokes");
  }
  const [x0, y0] =
    Array.isArray(data.middle_px) && data.middle_px.every(finite)
      ? data.middle_px
      : [middleX, middleY];
  return data.strokes.map((row, index) => {
    if (
      !Array.isArray(row) ||
      !row.length ||
      !row.every((point) => Array.isArray(point) && point.length === 3 && point.every(finite))
    ) {
      throw new Unreadable("file_bad_stroke", index + 1);
    }
    const drawn = DRAWN.includes(data.drawn?.[index]) ? data.drawn[index] : "seen";
    return {
      drawn,
      by: "pen",
      points: row.flatMap(([x, y, pressure]) => [x - x0 + middleX, y - y0 + middleY, pressure]),
    };
  });
}

export function download(name, type, text) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

// Over a reload, for this window alone; it never leaves the browser and ends with the window.
export function remember(key, text) {
  try {
    sessionStorage.setItem(key, text);
    return true;
  } catch {
    return false; // full, or not allowed: the strokes are still on the sheet
  }
}

export function remembered(key) {
  try {
    return sessionStorage.getItem(key);
  } catch {
    return null;
  }
}
