// What a stroke is: closed or open, a circle, a square, a spiral or another shape, and how long it
// is each way. Everything is found from the stroke alone and carried through a map as vectors, so
// that the same shape has the same name under the hand and on every screen. A stroke is [x, y,
// pressure, x, y, pressure, ...].

export const apply = (m, x, y) => [m[0] * x + m[1] * y + m[2], m[3] * x + m[4] * y + m[5]];
export const compose = (n, m) => [
  n[0] * m[0] + n[1] * m[3],
  n[0] * m[1] + n[1] * m[4],
  n[0] * m[2] + n[1] * m[5] + n[2],
  n[3] * m[0] + n[4] * m[3],
  n[3] * m[1] + n[4] * m[4],
  n[3] * m[2] + n[4] * m[5] + n[5],
];

// Points of a shape: enough for 0.01 %, few enough to look at every pair of pieces.
const FINEST = 360;
const GAP = 0.25; // of the size: what is left open by less is taken as closed
// A circle that is left open by more is measured by its curve and not by its area.
const ROUND_GAP = 0.04;
// Of the way: a crossing that holds less is a flourish or a figure of eight, no overshoot.
const LOOP = 0.7;
const SPIRAL_TURNS = 1.35;
const SMALLEST_PX = 8;
// How far the third and fourth moments go from a circle's 0 towards a triangle's or square's 2.3.
const EDGED = 0.8;
const OWN_SHAPE = 1.35; // a shape that is longer than this one way was meant so

function evenly(points) {
  const raw = [];
  for (let i = 0; i < points.length; i += 3) {
    const last = raw.at(-1);
    if (!last || last[0] !== points[i] || last[1] !== points[i + 1])
      raw.push([points[i], points[i + 1]]);
  }
  const way = [0];
  for (let i = 1; i < raw.length; i += 1)
    way.push(way[i - 1] + Math.hypot(raw[i][0] - raw[i - 1][0], raw[i][1] - raw[i - 1][1]));
  if (raw.length <= FINEST) return { path: raw, way };
  const path = [];
  for (let step = 0, i = 1; step < FINEST; step += 1) {
    const at = (way.at(-1) * step) / (FINEST - 1);
    while (i < raw.length - 1 && way[i] < at) i += 1;
    const share = (at - way[i - 1]) / (way[i] - way[i - 1] || 1);
    path.push([
      raw[i - 1][0] + share * (raw[i][0] - raw[i - 1][0]),
      raw[i - 1][1] + share * (raw[i][1] - raw[i - 1][1]),
    ]);
  }
  return { path, way: path.map((_, step) => (way.at(-1) * step) / (FINEST - 1)) };
}

function boxOf(path) {
  const xs = path.map(([x]) => x);
  const ys = path.map(([, y]) => y);
  return [Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)];
}

// The loop between the two passes through a crossing of the stroke with itself, if one holds most
// of the way.
function cutAtCrossing(path, way) {
  const whole = way.at(-1);
  for (let i = 0; i < path.length - 3 && way[i] <= (1 - LOOP) * whole; i += 1) {
    for (let j = path.length - 2; j > i + 1 && way[j + 1] - way[i] >= LOOP * whole; j -= 1) {
      const [a, b, c, d] = [path[i], path[i + 1], path[j], path[j + 1]];
      const [rx, ry, sx, sy] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
      const cross = rx * sy - ry * sx;
      if (cross === 0) continue;
      const t = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / cross;
      const u = ((c[0] - a[0]) * ry - (c[1] - a[1]) * rx) / cross;
      if (t < 0 || t > 1 || u < 0 || u > 1) continue;
      return [[a[0] + t * rx, a[1] + t * ry], ...path.slice(i + 1, j + 1)];
    }
  }
  return null;
}

// Angles about the middle, without jumps, starting at 0.
function windings(path, [x0, y0], w = [1, 0, 0, 1]) {
  const found = [0];
  let last = null;
  for (const [px, py] of path) {
    const [dx, dy] = [px - x0, py - y0];
    const angle = Math.atan2(w[2] * dx + w[3] * dy, w[0] * dx + w[1] * dy);
    if (last !== null) {
      let step = angle - last;
      step -= 2 * Math.PI * Math.round(step / (2 * Math.PI));
      found.push(found.at(-1) + step);
    }
    last = angle;
  }
  return {
    turns: found,
    start: Math.atan2(
      w[2] * (path[0][0] - x0) + w[3] * (path[0][1] - y0),
      w[0] * (path[0][0] - x0) + w[1] * (path[0][1] - y0),
    ),
  };
}

const mean = (path) =>
  path.reduce(([x, y], [px, py]) => [x + px / path.length, y + py / path.length], [0, 0]);

// Area, middle and second moments of the area in a loop, by Green's theorem over its pieces.
function areaMoments(loop) {
  const [x0, y0] = loop[0];
  let [area, mx, my, xx, xy, yy] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < loop.length; i += 1) {
    const [p, q] = [loop[i], loop[(i + 1) % loop.length]];
    const [x, y, u, v] = [p[0] - x0, p[1] - y0, q[0] - x0, q[1] - y0];
    const cross = x * v - u * y;
    area += cross / 2;
    mx += ((x + u) * cross) / 6;
    my += ((y + v) * cross) / 6;
    xx += ((x * x + x * u + u * u) * cross) / 12;
    yy += ((y * y + y * v + v * v) * cross) / 12;
    xy += ((x * v + 2 * x * y + 2 * u * v + u * y) * cross) / 24;
  }
  return {
    area,
    middle: [x0 + mx / area, y0 + my / area],
    moment: [
      xx / area - (mx / area) ** 2,
      xy / area - (mx * my) / area ** 2,
      yy / area - (my / area) ** 2,
    ],
  };
}

// The symmetric root of a moment and its inverse, each as [a, b, b, d].
function roots([p, q, r]) {
  const det = Math.sqrt(Math.max(p * r - q * q, 1e-12));
  const trace = Math.sqrt(p + r + 2 * det);
  const root = [(p + det) / trace, q / trace, q / trace, (r + det) / trace];
  return { root, inverse: [root[3] / det, -root[1] / det, -root[1] / det, root[0] / det] };
}

// The mean of (x + iy)^n over the area in a loop that was moved to its middle and made as wide as
// tall (unit second moments): by Green's theorem an integral along its pieces, exact with three
// points (Gauss-Legendre) up to n = 4. 0 for a circle at every n; for a square only the fourth is
// not (2.4), for a triangle the third (2.3).
function complexMean(loop, [x0, y0], w, n) {
  const seen = loop.map(([x, y]) => [
    w[0] * (x - x0) + w[1] * (y - y0),
    w[2] * (x - x0) + w[3] * (y - y0),
  ]);
  let [area, re, im] = [0, 0, 0];
  for (let i = 0; i < seen.length; i += 1) {
    const [[ax, ay], [bx, by]] = [seen[i], seen[(i + 1) % seen.length]];
    const [dx, dy] = [bx - ax, by - ay];
    area += (ax * by - bx * ay) / 2;
    for (const [at, weight] of [
      [0.5 - Math.sqrt(0.15), 5 / 18],
      [0.5, 4 / 9],
      [0.5 + Math.sqrt(0.15), 5 / 18],
    ]) {
      const [x, y] = [ax + at * dx, ay + at * dy];
      let [pr, pi] = [x, -y]; // the conjugate, times z^n, times dz
      for (let power = 0; power < n; power += 1) [pr, pi] = [pr * x - pi * y, pr * y + pi * x];
      re += (weight * (pr * dy + pi * dx)) / 2; // divided by 2i
      im += (weight * (pi * dy - pr * dx)) / 2;
    }
  }
  return [re / area, im / area];
}

function solveSmall(matrix, right) {
  const n = right.length;
  const rows = matrix.map((row, i) => [...row, ...right[i]]);
  for (let i = 0; i < n; i += 1) {
    let best = i;
    for (let k = i + 1; k < n; k += 1) if (Math.abs(rows[k][i]) > Math.abs(rows[best][i])) best = k;
    [rows[i], rows[best]] = [rows[best], rows[i]];
    if (Math.abs(rows[i][i]) < 1e-12) return null;
    for (let k = 0; k < n; k += 1) {
      if (k === i) continue;
      const times = rows[k][i] / rows[i][i];
      for (let c = i; c < rows[k].length; c += 1) rows[k][c] -= times * rows[i][c];
    }
  }
  return rows.map((row, i) => row.slice(n).map((value) => value / row[i]));
}

// The ellipse that a winding stroke goes round: least squares of c + A cos t + B sin t, with a size
// that may grow with t, over the angle t as it is where the ellipse is a circle. Found again and
// again until that angle settles.
function curve(path, grows) {
  let middle = mean(path);
  let moment = path.reduce(
    ([p, q, r], [x, y]) => [
      p + (x - middle[0]) ** 2,
      q + (x - middle[0]) * (y - middle[1]),
      r + (y - middle[1]) ** 2,
    ],
    [0, 0, 0],
  );
  let growth = 0;
  for (let round = 0; round < 12; round += 1) {
    const { turns, start } = windings(path, middle, roots(moment).inverse);
    const span = turns.at(-1);
    const size = grows ? 5 : 3;
    const left = Array.from({ length: size }, () => Array(size).fill(0));
    const right = Array.from({ length: size }, () => [0, 0]);
    for (let i = 0; i < path.length; i += 1) {
      const weight = Math.abs(turns[Math.min(i + 1, path.length - 1)] - turns[Math.max(i - 1, 0)]);
      const [c, s, t] = [
        Math.cos(start + turns[i]),
        Math.sin(start + turns[i]),
        turns[i] / span - 0.5,
      ];
      const row = [1, c, s, t * c, t * s].slice(0, size);
      for (let a = 0; a < size; a += 1) {
        for (let b = 0; b < size; b += 1) left[a][b] += weight * row[a] * row[b];
        right[a][0] += weight * row[a] * path[i][0];
        right[a][1] += weight * row[a] * path[i][1];
      }
    }
    const found = solveSmall(left, right);
    if (!found) return null;
    const [c, A, B, G = [0, 0], H = [0, 0]] = found;
    middle = c;
    moment = [
      (A[0] ** 2 + B[0] ** 2) / 4,
      (A[0] * A[1] + B[0] * B[1]) / 4,
      (A[1] ** 2 + B[1] ** 2) / 4,
    ];
    growth = (Math.hypot(...G, ...H) / Math.hypot(...A, ...B)) * Math.abs((2 * Math.PI) / span);
  }
  return { middle, moment, growth };
}

// What a stroke is, or null where it is open: {kind, middle, moment (of its area), sides (of a
// square), loop}.
export function shapeOf(points) {
  const { path, way } = evenly(points);
  if (path.length < 8) return null;
  const [wide, tall] = boxOf(path);
  if (Math.min(wide, tall) < SMALLEST_PX) return null;
  const turns = windings(path, mean(path)).turns;
  const wound = Math.abs(turns.at(-1)) / (2 * Math.PI);
  if (wound >= SPIRAL_TURNS) {
    const found = curve(path, true);
    return (
      found && {
        kind: found.growth > 0.08 ? "spiral" : "circle",
        ...found,
        sides: null,
        loop: path,
      }
    );
  }
  let loop = cutAtCrossing(path, way);
  let gap = 0;
  if (!loop) {
    const over = turns.findIndex((turn) => Math.abs(turn) > 2 * Math.PI);
    loop = over > 0 ? path.slice(0, over) : path;
    gap =
      Math.hypot(loop.at(-1)[0] - loop[0][0], loop.at(-1)[1] - loop[0][1]) / Math.max(wide, tall);
    if (over > 0) gap = 0; // it went all the way round, a little further in or out
    if (gap > GAP) return null;
  }
  const { area, middle, moment } = areaMoments(loop);
  // A line or a figure of eight holds no area to speak of.
  if (Math.abs(area) < 0.25 * wide * tall) return null;
  const { root, inverse } = roots(moment);
  const third = Math.hypot(...complexMean(loop, middle, inverse, 3));
  const [re, im] = complexMean(loop, middle, inverse, 4);
  const fourth = Math.hypot(re, im);
  if (third < EDGED && fourth < EDGED) {
    const found = gap > ROUND_GAP ? curve(loop, false) : null;
    return { kind: "circle", middle, moment, ...found, sides: null, loop };
  }
  if (third < EDGED) {
    // A square's fourth mean points away from its sides: their direction is a quarter of its angle,
    // turned back.
    const lean = (Math.atan2(im, re) - Math.PI) / 4;
    const side = Math.sqrt(12);
    const sides = [
      [Math.cos(lean), Math.sin(lean)],
      [-Math.sin(lean), Math.cos(lean)],
    ].map(([x, y]) => [side * (root[0] * x + root[1] * y), side * (root[2] * x + root[3] * y)]);
    return { kind: "square", middle, moment, sides, loop };
  }
  return { kind: "shape", middle, moment, sides: null, loop };
}

const turned = (m, [x, y]) => [m[0] * x + m[1] * y, m[3] * x + m[4] * y];

// How long a shape is each way under a map: {percent, lean_deg, long, short, corners}. `percent`:
// how much longer one way than the other. A square is as long as its sides, or from corner to
// corner where it stands on one; another shape as wide and tall as the box around it.
export function extents(shape, m) {
  const [xx, xy, yy] = shape.moment;
  const [a, b, , d, e] = m;
  const [p, q, r] = [
    a * a * xx + 2 * a * b * xy + b * b * yy,
    a * d * xx + (a * e + b * d) * xy + b * e * yy,
    d * d * xx + 2 * d * e * xy + e * e * yy,
  ];
  if (shape.kind === "shape") {
    const [wide, tall] = boxOf(shape.loop.map((at) => turned(m, at)));
    const [long, short] = [Math.max(wide, tall), Math.min(wide, tall)];
    return {
      percent: (long / short - 1) * 100,
      leanDeg: wide >= tall ? 0 : 90,
      long,
      short,
      corners: false,
    };
  }
  const [half, skew] = [(p + r) / 2, Math.hypot((p - r) / 2, q)];
  const ratio = Math.sqrt((half + skew) / Math.max(half - skew, 1e-12));
  const leanDeg = Math.abs((Math.atan2(2 * q, p - r) / 2) * (180 / Math.PI));
  let [long, short, corners] = [
    4 * Math.sqrt(half + skew),
    4 * Math.sqrt(Math.max(half - skew, 1e-12)),
    false,
  ];
  if (shape.kind === "square") {
    const [u, v] = shape.sides.map((side) => turned(m, side));
    const off = Math.abs(((Math.atan2(u[1], u[0]) * 180) / Math.PI + 720) % 90);
    corners = off > 20 && off < 70;
    const ways = corners
      ? [
          [u[0] + v[0], u[1] + v[1]],
          [u[0] - v[0], u[1] - v[1]],
        ]
      : [u, v];
    [short, long] = ways.map((way) => Math.hypot(...way)).sort((one, other) => one - other);
  }
  return { percent: (ratio - 1) * 100, leanDeg, long, short, corners };
}

// How much wider than tall, as a logarithm: what a map along the screen's edges adds to it is the
// same for all shapes.
export function wideness(shape, m) {
  if (shape.kind === "shape") {
    const [wide, tall] = boxOf(shape.loop.map((at) => turned(m, at)));
    return Math.log(wide / tall);
  }
  const [xx, xy, yy] = shape.moment;
  const [a, b, , d, e] = m;
  return (
    Math.log(
      (a * a * xx + 2 * a * b * xy + b * b * yy) / (d * d * xx + 2 * d * e * xy + e * e * yy),
    ) / 2
  );
}

export const meantLong = (shape, m) => extents(shape, m).percent > (OWN_SHAPE - 1) * 100;

// The true circle or square to lay over a shape under a map: as large as it came out its shorter
// way, so that what sticks out is the stretch. Corners in the picture's frame; null for a shape
// that has no true form.
export function trueForm(shape, m) {
  if (shape.kind === "shape") return null;
  const [x0, y0] = apply(m, ...shape.middle);
  if (shape.kind !== "square") {
    const radius = extents(shape, m).short / 2;
    return Array.from({ length: 120 }, (_, i) => [
      x0 + radius * Math.cos((i * Math.PI) / 60),
      y0 + radius * Math.sin((i * Math.PI) / 60),
    ]);
  }
  // The turn that comes nearest to the sides as they lie: the polar part of the matrix that has
  // them as columns.
  const [u, v] = shape.sides.map((side) => turned(m, side));
  const mirrored = u[0] * v[1] - u[1] * v[0] < 0 ? -1 : 1;
  const turn = Math.atan2(u[1] - mirrored * v[0], u[0] + mirrored * v[1]);
  const half = Math.min(Math.hypot(...u), Math.hypot(...v)) / 2;
  const [c, s] = [half * Math.cos(turn), half * Math.sin(turn)];
  return [
    [c - s, s + c],
    [-c - s, -s + c],
    [-c + s, -s - c],
    [c + s, s - c],
  ].map(([x, y]) => [x0 + x, y0 + y]);
}
