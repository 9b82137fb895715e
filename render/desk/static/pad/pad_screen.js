// Whether the page's pixels are those of the profile: a sentence where a number would be wrong, else
// nothing.

// Page zoom changes what a pixel of the page is, and in some browsers not what the screen says of
// itself; the steps are the customary ones. It makes no number wrong, as strokes count device
// pixels.
const PAGE_ZOOMS = [
  0.25, 0.33, 0.5, 0.67, 0.75, 0.8, 0.9, 1, 1.1, 1.25, 1.5, 1.75, 2, 2.5, 3, 4, 5,
];
const SLACK = 0.06; // scroll bars and the edges of a window
const ROUNDING_PX = 2;

export function screenNote(say, displaysPx) {
  if (visualViewport && Math.abs(visualViewport.scale - 1) > 0.01) {
    return say("pinched");
  }
  const [wide, tall] = [screen.width * devicePixelRatio, screen.height * devicePixelRatio];
  const shown = outerWidth / innerWidth;
  const explains = (zoom, [w, h]) =>
    (zoom === 1 || Math.abs(shown / zoom - 1) < SLACK) &&
    Math.abs(w - wide / zoom) <= ROUNDING_PX &&
    Math.abs(h - tall / zoom) <= ROUNDING_PX;
  if (displaysPx.some((display) => PAGE_ZOOMS.some((zoom) => explains(zoom, display)))) return "";
  return say("other_pixels", {
    width: Math.round(wide),
    height: Math.round(tall),
    expected: displaysPx.map(([w, h]) => `${w} × ${h}`).join(" / "),
  });
}
