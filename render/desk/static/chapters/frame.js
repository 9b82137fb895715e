// A picture with a frame to drag around a part of it.
import { wayOf } from "../keys.js";
import { asFineAsTheScreen, capture } from "./common.js";

const STEP = 0.02; // of the picture
const LEAST = 2 * STEP;

// `done` gets the picture and the part, px.
export function frameDialog(dialog, done) {
  const canvas = dialog.querySelector("canvas");
  const context = canvas.getContext("2d");
  const why = dialog.querySelector(".wrong");
  let file = null;
  let picture = null;
  let frame = { left: 0, top: 0, right: 1, bottom: 1 }; // shares of the picture
  let from = null;

  // Where the picture lies on the canvas, device px: below the bar, as large as it goes.
  const place = () => {
    const bar = dialog.querySelector(".bar").getBoundingClientRect().height * devicePixelRatio;
    const room = [canvas.width, canvas.height - bar];
    const scale = Math.min(room[0] / picture.width, room[1] / picture.height);
    const size = [picture.width * scale, picture.height * scale];
    return { left: (room[0] - size[0]) / 2, top: bar + (room[1] - size[1]) / 2, size };
  };
  const draw = () => {
    if (!picture) return;
    const { left, top, size } = place();
    const box = [
      left + frame.left * size[0],
      top + frame.top * size[1],
      (frame.right - frame.left) * size[0],
      (frame.bottom - frame.top) * size[1],
    ];
    context.clearRect(0, 0, canvas.width, canvas.height);
    context.globalAlpha = 0.35;
    context.drawImage(picture, left, top, ...size);
    context.globalAlpha = 1;
    context.save();
    context.beginPath();
    context.rect(...box);
    context.clip();
    context.drawImage(picture, left, top, ...size);
    context.restore();
    context.strokeStyle = getComputedStyle(canvas).color;
    context.lineWidth = 3 * devicePixelRatio;
    context.strokeRect(...box);
  };
  const within = (value) => Math.min(Math.max(value, 0), 1);
  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    const { left, top, size } = place();
    return [
      within(((event.clientX - box.left) * devicePixelRatio - left) / size[0]),
      within(((event.clientY - box.top) * devicePixelRatio - top) / size[1]),
    ];
  };
  canvas.addEventListener("pointerdown", (event) => {
    if (!picture || event.button !== 0) return;
    from = at(event);
    capture(canvas, event);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!from) return;
    const [x, y] = at(event);
    // A touch without a movement leaves the frame as it is.
    if (Math.abs(x - from[0]) < 0.01 || Math.abs(y - from[1]) < 0.01) return;
    frame = {
      left: Math.min(x, from[0]),
      top: Math.min(y, from[1]),
      right: Math.max(x, from[0]),
      bottom: Math.max(y, from[1]),
    };
    draw();
  });
  for (const name of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(name, () => {
      from = null;
    });
  }
  // Arrows move the frame; with Shift they move its right and bottom edge alone.
  canvas.addEventListener("keydown", (event) => {
    const way = wayOf(event);
    if (!way) return;
    const [x, y] = way.map((each) => each * STEP);
    if (event.shiftKey) {
      frame.right = Math.max(within(frame.right + x), frame.left + LEAST);
      frame.bottom = Math.max(within(frame.bottom + y), frame.top + LEAST);
    } else {
      const dx = Math.min(Math.max(x, -frame.left), 1 - frame.right);
      const dy = Math.min(Math.max(y, -frame.top), 1 - frame.bottom);
      frame.left += dx;
      frame.right += dx;
      frame.top += dy;
      frame.bottom += dy;
    }
    draw();
  });
  dialog.querySelector("[data-leave-frame]").addEventListener("click", () => dialog.close());
  dialog.querySelector("[data-read-frame]").addEventListener("click", () => {
    const part = [frame.left, frame.top, frame.right - frame.left, frame.bottom - frame.top];
    const px = part.map((share, index) =>
      Math.round(share * (index % 2 ? picture.height : picture.width)),
    );
    dialog.close();
    done(file, px);
  });
  const fit = asFineAsTheScreen(canvas, draw);

  // `words` say why the picture as a whole was no answer.
  return async (chosen, words) => {
    picture = await createImageBitmap(chosen);
    file = chosen;
    frame = { left: 0.2, top: 0.2, right: 0.8, bottom: 0.8 };
    why.textContent = words;
    why.hidden = !words;
    dialog.showModal();
    fit();
    canvas.focus();
  };
}
