// What the pad says of shapes. Every sentence is a template that Python wrote down for this page, in
// the person's language; `say(name, slots)` fills it.
import { fixed } from "../fill.js";
import { extents, meantLong, wideness } from "./pad_shape.js";

// What people notice: Regan and Hamstra 1992, doi 10.1016/0042-6989(92)90046-l, abstract.
const SEEN_PERCENT = 1.6;
const ROUND_PERCENT = 0.05;
// What leans by less is wide, or tall.
const UPRIGHT_DEG = 20;

export function shapeWords(say, shape, m) {
  const { percent, leanDeg } = extents(shape, m);
  if (percent < ROUND_PERCENT) {
    return say({ square: "square", shape: "as_wide_as_tall" }[shape.kind] ?? "round");
  }
  const slots = { percent: fixed(percent, 1) };
  if (leanDeg < UPRIGHT_DEG) return say("wider", slots);
  if (leanDeg > 90 - UPRIGHT_DEG) return say("taller", slots);
  return say("slanting", slots);
}

export function sizeWords(say, shape, m) {
  const { long, short, corners, percent, leanDeg } = extents(shape, m);
  const slots = { long: fixed(long, 0), short: fixed(short, 0) };
  if (corners) return say("size_of_corners", slots);
  if (percent < ROUND_PERCENT) return say("size", slots);
  // In the order of the words for the shape.
  if (leanDeg < UPRIGHT_DEG) return say("size_wide", slots);
  return say(leanDeg > 90 - UPRIGHT_DEG ? "size_tall" : "size", slots);
}

// "circle", "square", "spiral", "shape"; or what it is where the hand plainly meant it long.
export function shapeName(shape, handMatrix) {
  if (shape.kind !== "shape" && meantLong(shape, handMatrix))
    return shape.kind === "square" ? "rectangle" : "oval";
  return shape.kind;
}

// What became of a stroke, with the hand's share and the setting's told apart; `setting` are the
// sentences about the setting, empty where it keeps circles round.
export function strokeSentence(say, shape, { hand, today, setting }) {
  const name = shapeName(shape, hand);
  const came = say(`came_${name}`, { seen: shapeWords(say, shape, today) });
  if (name === "oval" || name === "rectangle" || name === "shape") {
    return setting
      ? say("came_and_rest", { came, setting })
      : say("came_as_drawn", { came });
  }
  const drew = extents(shape, hand).percent;
  const own = shapeWords(say, shape, hand);
  const perfect = name === "square" ? "square" : "round";
  let hands = say("hand_drew", { own });
  if (drew < SEEN_PERCENT) hands = say(`hand_drew_nearly_${perfect}`, { own });
  if (drew < ROUND_PERCENT) hands = say(`hand_drew_${perfect}`);
  return setting
    ? say("came_setting_hand", { came, setting, hand: hands })
    : say("came_hand", { came, hand: hands });
}

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

function wide(say, percent) {
  if (Math.abs(percent) < 0.5) return say("as_wide_as_tall");
  return say(percent > 0 ? "wider" : "taller", { percent: fixed(Math.abs(percent), 0) });
}

// A verdict only where the setting's part lies beyond the spread of the hand.
export function blindSentence(say, count, result, setting, settingPercent) {
  if (count < 3) return say(count === 2 ? "blind_two" : "blind_one");
  const drawn = say("blind_drawn", {
    count,
    middle: wide(say, result.hand.middle),
    spread: fixed(result.hand.spread, 0),
  });
  if (!setting) return say("blind_no_setting", { drawn });
  if (Math.abs(settingPercent) > result.hand.spread) return say("blind_setting", { drawn, setting });
  return say("blind_hand", { drawn, percent: fixed(Math.abs(settingPercent), 1) });
}
