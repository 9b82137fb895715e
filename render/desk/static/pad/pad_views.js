// Canvases that show the strokes, each through its own matrix. A view keeps how far it has drawn
// them (`strokes` whole ones and `points` of the next), so that a growing stroke costs its new
// points alone; a stale one is drawn from nothing.
import { apply, trueForm } from "./pad_shape.js";

const LEVELS = 8; // widths that pressure can give; pieces of one width are drawn in one go
export const NIB_REM = 0.19; // on the sheet, at half pressure
export const PICTURE_NIB_REM = 0.11;

const level = (pressure) => Math.round(Math.min(1, Math.max(0, pressure)) * LEVELS);
const width = (nib, at) => nib * (0.3 + (1.4 * at) / LEVELS);
export const nibWidth = (nib, pressure) => width(nib, pressure * LEVELS);

export const makeView = (canvas, nibRem, colour) => ({
  canvas,
  nibRem,
  colour,
  context: canvas.getContext("2d"),
  toCanvas: null,
  stale: true,
  strokes: 0,
  points: 0,
});

export function fitCanvas(view) {
  const box = view.canvas.getBoundingClientRect();
  const wide = Math.max(1, Math.round(box.width * devicePixelRatio));
  const tall = Math.max(1, Math.round(box.height * devicePixelRatio));
  if (view.canvas.width !== wide || view.canvas.height !== tall) {
    view.canvas.width = wide;
    view.canvas.height = tall;
    view.stale = true;
  }
}

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

function outline(context, corners, colour, wide, dash) {
  context.strokeStyle = colour;
  context.lineWidth = wide;
  context.lineCap = "butt";
  context.setLineDash(dash.map((length) => length * wide));
  context.beginPath();
  for (const corner of corners) context.lineTo(...corner);
  context.closePath();
  context.stroke();
  context.setLineDash([]);
}

// `look`: {colours, remPx, edge (the sheet's corners in strokes' px; null on the sheet itself),
// shape (the measured one)}.
export function show(view, strokes, look) {
  const { canvas, context, toCanvas } = view;
  const unit = look.remPx / 16;
  if (view.stale) {
    context.clearRect(0, 0, canvas.width, canvas.height);
    if (view.framed)
      outline(
        context,
        look.edge.map((corner) => apply(toCanvas, ...corner)),
        look.colours.rule,
        unit,
        [2, 3],
      );
    view.strokes = view.points = 0;
  }
  context.lineCap = context.lineJoin = "round";
  context.strokeStyle = context.fillStyle = look.colours[view.colour];
  for (let index = view.strokes; index < strokes.length; index += 1) {
    ink(
      context,
      toCanvas,
      strokes[index].points,
      index === view.strokes ? view.points : 0,
      view.nibRem * look.remPx,
    );
  }
  // The last one may still grow.
  view.strokes = Math.max(0, strokes.length - 1);
  view.points = strokes.length ? strokes.at(-1).points.length / 3 : 0;
  if (view.stale && look.shape) {
    const form = trueForm(look.shape, toCanvas);
    if (form) outline(context, form, look.colours.ghost, 1.6 * unit, [4, 3]);
  }
  view.stale = false;
}

// Where the pen came down, and the cross to start on: all that is seen while one draws blind.
export function showBlind(view, start, cross, look) {
  const { canvas, context, toCanvas } = view;
  const unit = look.remPx / 16;
  context.clearRect(0, 0, canvas.width, canvas.height);
  context.strokeStyle = context.fillStyle = look.colours.ghost;
  if (start) {
    context.beginPath();
    context.arc(...apply(toCanvas, ...start), 3.5 * unit, 0, 2 * Math.PI);
    context.fill();
  }
  drawCross(view, cross, look);
  view.stale = true;
}

export function drawCross({ context, toCanvas }, cross, look) {
  const unit = look.remPx / 16;
  const [x, y] = apply(toCanvas, ...cross);
  context.strokeStyle = look.colours.ghost;
  context.lineWidth = 2 * unit;
  context.setLineDash([]);
  context.beginPath();
  for (const [dx, dy] of [
    [11, 0],
    [0, 11],
  ]) {
    context.moveTo(x - dx * unit, y - dy * unit);
    context.lineTo(x + dx * unit, y + dy * unit);
  }
  context.stroke();
}
