// What chapters share: buttons that ask the server for something, forms, files that are picked or
// dropped, and tracing.
import { refused, untold } from "../slips.js";

// Does something for a part of the page; what goes wrong is told in that part's own line, which
// describes the field that it is about.
export async function guarded(element, act) {
  const around = element.closest(".chapter, dialog");
  const line = element.querySelector(".wrong") ?? around?.querySelector(".wrong");
  untold(around ?? element, line);
  try {
    await act();
  } catch (error) {
    if (!line?.isConnected) throw error;
    refused(line, error, element, around);
  }
}

// <button data-do="verb" data-with='{"json": 1}'>
export function buttons(element, page) {
  for (const button of element.querySelectorAll("button[data-do]")) {
    button.addEventListener("click", () =>
      guarded(button.parentElement, () =>
        page.ask(button.dataset.do, JSON.parse(button.dataset.with || "{}")),
      ),
    );
  }
  for (const number of element.querySelectorAll("[data-copy]")) {
    number.addEventListener("click", () => page.copy(number, number.parentElement.parentElement));
  }
  for (const button of element.querySelectorAll("button[data-change]")) {
    button.addEventListener("click", () =>
      page.change(JSON.parse(button.dataset.change), button.dataset.about || ""),
    );
  }
}

// <form data-do="verb">: its fields as JSON.
export function forms(element, page) {
  for (const form of element.querySelectorAll("form[data-do]")) {
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      guarded(form, () => page.ask(form.dataset.do, Object.fromEntries(new FormData(form))));
    });
  }
}

// `send` takes the file as a File of its kind.
export function drops(zone, send) {
  const input = zone.querySelector("input[type=file]");
  const take = (file) => {
    if (!file) return;
    // A browser that knows no kind for an ending still knows the ending.
    const kind =
      file.type ||
      { csv: "text/csv", json: "application/json", svg: "image/svg+xml" }[
        file.name.split(".").pop().toLowerCase()
      ] ||
      "";
    guarded(zone, () => send(new File([file], file.name, { type: kind })));
  };
  zone.querySelector("[data-pick]").addEventListener("click", () => input.click());
  input.addEventListener("change", () => take(input.files[0]));
  zone.addEventListener("dragover", (event) => event.preventDefault());
  zone.addEventListener("drop", (event) => {
    event.preventDefault();
    take(event.dataTransfer.files[0]);
  });
}

// A dialog with a sheet to trace on: gives what opens it. `done` gets the strokes when it closes
// with them.
export function traceDialog(dialog, done) {
  const ready = dialog.querySelector("[data-measure-it]");
  const sheet = tracing(dialog.querySelector("canvas"), (strokes) => {
    ready.disabled = !strokes.length;
  });
  dialog.querySelector("[data-again]").addEventListener("click", sheet.clear);
  dialog.querySelector("[data-leave-trace]").addEventListener("click", () => dialog.close());
  ready.addEventListener("click", () => {
    const strokes = sheet.strokes();
    dialog.close();
    done(strokes);
  });
  return () => {
    sheet.clear();
    dialog.showModal();
  };
}

// Gives a canvas the pixels of the screen whenever its size changes, and draws it then; what it
// gives does that at once.
export function asFineAsTheScreen(canvas, draw) {
  const fit = () => {
    const box = canvas.getBoundingClientRect();
    canvas.width = Math.round(box.width * devicePixelRatio);
    canvas.height = Math.round(box.height * devicePixelRatio);
    draw();
  };
  new ResizeObserver(fit).observe(canvas);
  return fit;
}

// What a pointer does belongs to an element until it is lifted.
export function capture(element, event) {
  try {
    element.setPointerCapture(event.pointerId);
  } catch {
    // A pointer that is gone again cannot be captured, and need not be.
  }
}

// A sheet that takes strokes in device px.
function tracing(canvas, onEnd) {
  const context = canvas.getContext("2d");
  let strokes = [];
  let live = null;
  const draw = () => {
    context.clearRect(0, 0, canvas.width, canvas.height);
    context.strokeStyle = getComputedStyle(canvas).color;
    context.lineWidth = 2 * devicePixelRatio;
    context.lineCap = context.lineJoin = "round";
    for (const stroke of live ? [...strokes, live] : strokes) {
      context.beginPath();
      for (const [x, y] of stroke) context.lineTo(x, y);
      context.stroke();
    }
  };
  const take = (event) => {
    const box = canvas.getBoundingClientRect();
    const all = event.getCoalescedEvents?.() ?? [];
    for (const each of all.length ? all : [event])
      live.push([
        (each.clientX - box.left) * devicePixelRatio,
        (each.clientY - box.top) * devicePixelRatio,
      ]);
    draw();
  };
  canvas.addEventListener("pointerdown", (event) => {
    if (live || event.button !== 0) return;
    event.preventDefault();
    capture(canvas, event);
    live = [];
    take(event);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (live) take(event);
  });
  for (const name of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(name, (event) => {
      if (!live) return;
      take(event);
      if (live.length > 1) strokes.push(live);
      live = null;
      draw();
      onEnd?.(strokes);
    });
  }
  asFineAsTheScreen(canvas, draw);
  return {
    strokes: () => strokes,
    clear: () => {
      strokes = [];
      draw();
      onEnd?.(strokes);
    },
  };
}
