// The pixels of the screen that this page is on, whatever the page's zoom.

// Page zooms that browsers offer, and the systems' own zooms.
const PAGE = [0.5, 0.67, 0.75, 0.8, 0.9, 1.1, 1.25, 1.5, 1.75, 2, 2.5, 3];
const SYSTEM = [1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 3];
const SLACK = 0.06; // scroll bars and the edges of a window

// Some browsers count a page's zoom into what the screen says of itself, others into the pixel
// ratio alone: there the window is so much wider than the page, and what is left of the ratio is
// the system's.
export function pageZoom() {
  const shown = outerWidth / innerWidth;
  const whole = (ratio) => SYSTEM.some((each) => Math.abs(ratio / each - 1) < 0.01);
  return (
    PAGE.find((zoom) => Math.abs(shown / zoom - 1) < SLACK && whole(devicePixelRatio / zoom)) ?? 1
  );
}

export function screenPx() {
  const zoom = pageZoom();
  // What a screen says of itself is rounded; its pixels are even.
  return [screen.width, screen.height].map(
    (length) => 2 * Math.round((length * devicePixelRatio) / zoom / 2),
  );
}

// Whether the page is pinched to another size.
export const isPinched = () =>
  Boolean(window.visualViewport && Math.abs(visualViewport.scale - 1) > 0.01);
