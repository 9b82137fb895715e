// What the pad says. Every sentence is whole, so that it can be read aloud and put into other
// words.
import { extents, meantLong, wideness } from "./pad_shape.js";

// What people notice: Regan and Hamstra 1992, doi 10.1016/0042-6989(92)90046-l, abstract.
const SEEN_PERCENT = 1.6;
const ROUND_PERCENT = 0.05;

const percentWords = (percent) => `${percent.toFixed(1)} %`;

export function shapeWords(shape, m) {
  const { percent, leanDeg } = extents(shape, m);
  if (percent < ROUND_PERCENT)
    return { square: "square", shape: "as wide as tall" }[shape.kind] ?? "round";
  let way = "longer one way, along a slant";
  if (leanDeg < 20) way = "wider than tall";
  if (leanDeg > 70) way = "taller than wide";
  return `${percentWords(percent)} ${way}`;
}

export function sizeWords(shape, m) {
  const { long, short, corners } = extents(shape, m);
  return `about ${long.toFixed(0)} by ${short.toFixed(0)} mm${corners ? " from corner to corner" : ""}`;
}

// "circle", "square", "spiral", "shape"; or what it is where the hand plainly meant it long.
export function shapeName(shape, handMatrix) {
  if (shape.kind !== "shape" && meantLong(shape, handMatrix))
    return shape.kind === "square" ? "rectangle" : "oval";
  return shape.kind;
}

// What became of a stroke, with the hand's share and the setting's told apart.
export function strokeSentence(shape, { hand, today, setting }) {
  const name = shapeName(shape, hand);
  const [seen, own] = [shapeWords(shape, today), shapeWords(shape, hand)];
  const drew = extents(shape, hand).percent;
  const came = `Your ${name} came out ${seen}.`;
  if (name === "oval" || name === "rectangle" || name === "shape") {
    return setting
      ? `${came} ${sentence(setting)}; the rest is as your hand drew it.`
      : `${came} That is how your hand drew it: this setting keeps shapes true.`;
  }
  const perfect = name === "square" ? "square" : "round";
  let hands = `your hand drew it ${own}`;
  if (drew < SEEN_PERCENT) hands = `your hand drew it all but ${perfect}, ${own}`;
  if (drew < ROUND_PERCENT) hands = `your hand drew it ${perfect}`;
  return setting
    ? `${came} ${sentence(setting)}; ${hands}.`
    : `${came} ${sentence(hands)}: this setting keeps shapes true.`;
}

const sentence = (words) => words.charAt(0).toUpperCase() + words.slice(1);

const COUNTS = ["No", "One", "Two", "Three", "Four", "Five"];

// The blind strokes as a whole: {middle, spread (farthest from the middle), shares} in percent of
// wideness.
export function blindResult(shapes, hand, today) {
  const asPercent = (log) => (Math.exp(log) - 1) * 100;
  const about = (logs) => {
    const sorted = [...logs].sort((one, other) => one - other);
    const half = sorted.length >> 1;
    const middle = sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
    return {
      all: logs.map(asPercent),
      middle: asPercent(middle),
      spread: asPercent(Math.max(...logs.map((log) => Math.abs(log - middle)))),
    };
  };
  return {
    hand: about(shapes.map((shape) => wideness(shape, hand))),
    seen: about(shapes.map((shape) => wideness(shape, today))),
  };
}

const wide = (percent) =>
  Math.abs(percent) < 0.5
    ? "as wide as tall"
    : `${Math.abs(percent).toFixed(0)} % ${percent > 0 ? "wider than tall" : "taller than wide"}`;

// A verdict only where the setting's part lies beyond the spread of the hand.
export function blindSentence(count, result, setting, settingPercent) {
  const drawn = `${COUNTS[count] ?? count} ${count === 1 ? "shape" : "shapes"} drawn blind`;
  if (count < 3)
    return `${drawn}: draw ${count === 2 ? "one" : "two"} more to see what is the hand's and what the setting's.`;
  const middle = `${drawn}: on the tablet your hand makes them ${wide(result.hand.middle)}, give or take ${result.hand.spread.toFixed(0)} %.`;
  if (!setting) return `${middle} The setting adds nothing to it.`;
  return Math.abs(settingPercent) > result.hand.spread
    ? `${middle} ${sentence(setting)}, which is more than your hand wanders: it is the setting.`
    : `${middle} Your hand wanders more than the ${Math.abs(settingPercent).toFixed(1)} % that the setting adds: these strokes alone prove nothing.`;
}
