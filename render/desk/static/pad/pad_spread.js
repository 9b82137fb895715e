// The blind strokes in one small picture: a row for the hand and one for the screen, a dot for each
// stroke, a bar over their spread and a line at their middle, about a line that stands for round.
const SVG = "http://www.w3.org/2000/svg";
const [WIDE, ROW, LABEL] = [360, 34, 92];

function mark(parent, name, attributes, text) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  parent.append(made);
}

export function drawSpread(say, svg, { hand, seen }) {
  svg.replaceChildren();
  const most = Math.max(6, ...[...hand.all, ...seen.all].map(Math.abs)) * 1.15;
  const x = (percent) => LABEL + ((percent / most + 1) / 2) * (WIDE - LABEL - 12);
  svg.setAttribute("viewBox", `0 0 ${WIDE} ${2 * ROW + 22}`);
  mark(svg, "line", { class: "rule", x1: x(0), x2: x(0), y1: 4, y2: 2 * ROW + 2 });
  [
    ["hand", say("your_hand"), hand],
    ["result", say("on_the_screen"), seen],
  ].forEach(([colour, name, row], index) => {
    const y = ROW * index + ROW / 2 + 2;
    mark(svg, "text", { x: 0, y: y + 4 }, name);
    const ends = [Math.min(...row.all), Math.max(...row.all)];
    mark(svg, "line", { class: `spread ${colour}`, x1: x(ends[0]), x2: x(ends[1]), y1: y, y2: y });
    mark(svg, "line", {
      class: `middle ${colour}`,
      x1: x(row.middle),
      x2: x(row.middle),
      y1: y - 11,
      y2: y + 11,
    });
    for (const percent of row.all)
      mark(svg, "circle", { class: colour, cx: x(percent), cy: y, r: 4.5 });
  });
  mark(svg, "text", { x: x(0), y: 2 * ROW + 18, "text-anchor": "middle" }, say("axis_round"));
  mark(svg, "text", { x: WIDE - 6, y: 2 * ROW + 18, "text-anchor": "end" }, say("axis_wider"));
  mark(svg, "text", { x: LABEL, y: 2 * ROW + 18 }, say("axis_taller"));
}
