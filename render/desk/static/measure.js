// Sizes with a bank card: the sheets that the notes of tablet and display open.
import { post } from "./ask.js";
import { stepsOf } from "./keys.js";
import { refused, slip, untold } from "./slips.js";
import { text } from "./texts.js";
import { address, ask, change, restore, say } from "./page.js";
import { isPinched, screenPx } from "./screen.js";
import { traceDialog } from "./chapters/common.js";

const LOOK_MS = 200;

document.addEventListener("measure", (event) => open(event.detail));

async function open(about) {
  const holder = document.createElement("div");
  const { html } = await post(`${address()}/chapter/measure/${about}`, {});
  holder.innerHTML = html;
  document.body.append(holder);
  const dialog = holder.querySelector("dialog");
  // The card needs room, and the glass without bars that move it.
  const whole =
    about === "display" &&
    !document.fullscreenElement &&
    document.documentElement.requestFullscreen;
  if (whole) await document.documentElement.requestFullscreen().catch(() => {});
  dialog.addEventListener("close", () => {
    if (whole && document.fullscreenElement) document.exitFullscreen();
    holder.remove();
    document
      .querySelector(`[data-blank="${about === "display" ? "displays" : "tablet"}"]`)
      ?.focus();
  });
  dialog.querySelector("[data-leave]").addEventListener("click", () => dialog.close());
  (about === "display" ? display : tablet)(dialog);
  dialog.showModal();
  dialog.querySelector(".edge")?.focus();
}

// Dots of squared paper, touched on a quiet page that fills the screen.
async function touches(dialog) {
  const { touching } = await import("./chapters/touching.js");
  const paper = {
    across: dialog.querySelector("#measure-across").value,
    down: dialog.querySelector("#measure-down").value,
  };
  const answer = await touching(dialog.querySelector("dialog.quiet"), async (frame) => {
    const begun = await tell(dialog, "grid", { ...paper, frame }, "tablet");
    return begun?.crosses;
  });
  if (!answer) return;
  await tell(dialog, "touches", { ...paper, ...answer }, "tablet");
  dialog.querySelector(".result button")?.focus();
}

// The line of a dialog for what is wrong in none of the fields that have a line of their own.
const sharedLine = (dialog) => dialog.querySelector(".wrong[role=alert]");

// Ask what the measurement comes to, show it, and let its buttons change the letter.
async function tell(dialog, verb, body, about) {
  const line = sharedLine(dialog);
  untold(dialog, line);
  try {
    const said = await post(`${address()}/chapter/measure/${verb}`, {
      ...body,
      thing: dialog.querySelector("#measure-thing")?.value ?? "card",
      screen: screenPx(),
    });
    if (said.html === undefined) return said;
    const result = dialog.querySelector(".result");
    result.innerHTML = said.html;
    say([...result.querySelectorAll("p:not(.row)")].map((each) => each.textContent).join(" "));
    for (const button of result.querySelectorAll("[data-change]")) {
      button.addEventListener("click", () => {
        dialog.close();
        change(JSON.parse(button.dataset.change), about);
      });
    }
    return said;
  } catch (error) {
    refused(line, error, dialog);
    return null;
  }
}

// The display -------------------------------------------------------------------------------------

function display(dialog) {
  const sheet = dialog.querySelector(".glass-sheet");
  const edges = { width: dialog.querySelector(".right"), height: dialog.querySelector(".up") };
  const size = { width: 0, height: 0 }; // device px
  let pulls = [];
  let ratio = devicePixelRatio;
  let glass = String(screenPx());

  function show() {
    sheet.style.setProperty("--wide", `${size.width / devicePixelRatio}px`);
    sheet.style.setProperty("--high", `${size.height / devicePixelRatio}px`);
    sheet.style.setProperty("--hair", `${1 / devicePixelRatio}px`);
    for (const [side, edge] of Object.entries(edges)) {
      const [least, most] = limits(side);
      edge.setAttribute("aria-valuemin", String(least));
      edge.setAttribute("aria-valuemax", String(most));
      edge.setAttribute("aria-valuenow", String(size[side]));
      edge.setAttribute("aria-valuetext", text("from_corner", { pixels: size[side] }));
    }
  }

  // From a corner that stands 48 px inside, and no farther than can be seen and held.
  const limits = (side) => {
    const [least, room] = side === "width" ? [60, innerWidth] : [40, innerHeight];
    return [least, Math.max(least, Math.floor((room - 72) * devicePixelRatio))];
  };

  function set(side, value) {
    const [least, most] = limits(side);
    size[side] = Math.round(Math.min(most, Math.max(least, value)));
    show();
  }

  // Another start at each try, so that nobody pulls to where it was before.
  function begin() {
    ratio = devicePixelRatio;
    glass = String(screenPx());
    const about = 3.6 * devicePixelRatio * (0.75 + 0.5 * Math.random());
    set("width", 85.6 * about);
    set("height", 53.98 * about * (0.85 + 0.3 * Math.random()));
  }

  for (const [side, edge] of Object.entries(edges)) {
    const along = side === "width" ? (event) => event.clientX : (event) => -event.clientY;
    let from = null;
    edge.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      edge.focus();
      edge.setPointerCapture(event.pointerId);
      from = { at: along(event), size: size[side] };
    });
    edge.addEventListener("pointermove", (event) => {
      if (from) set(side, from.size + (along(event) - from.at) * devicePixelRatio);
    });
    for (const name of ["pointerup", "pointercancel"])
      edge.addEventListener(name, () => {
        from = null;
      });
    edge.addEventListener("keydown", (event) => {
      const step = { "+": 1, "-": -1 }[event.key] ?? stepsOf(event);
      if (step) set(side, size[side] + step);
    });
  }
  // A hand that does not drag moves a line by one pixel at a click.
  for (const button of dialog.querySelectorAll("[data-by]"))
    button.addEventListener("click", () => {
      const { edge, by } = button.dataset;
      set(edge, size[edge] + Number(by));
      say(edges[edge].getAttribute("aria-valuetext"));
    });

  const line = dialog.querySelector(".wrong");
  function refuse(text) {
    line.textContent = text;
    line.hidden = !text;
    dialog.querySelector("[data-take]").disabled = Boolean(text);
  }
  let pinched = false;
  const look = () => {
    const now = isPinched();
    if (now !== pinched) refuse(now ? text("pinched") : "");
    pinched = now;
    if (now || (devicePixelRatio === ratio && String(screenPx()) === glass)) return now;
    pulls = [];
    dialog.querySelector(".result").replaceChildren();
    begin();
    refuse("");
    line.textContent = text("zoom_changed");
    line.hidden = false;
    return true;
  };
  // Not every browser tells of a display of other pixels where the window's size stays, so it is
  // looked at.
  const looking = setInterval(look, LOOK_MS);
  dialog.addEventListener("close", () => clearInterval(looking));

  dialog.querySelector("[data-take]").addEventListener("click", async () => {
    if (look()) return;
    const said = await tell(
      dialog,
      "pulls",
      { pulls: [...pulls, [size.width, size.height]] },
      "displays",
    );
    if (!said) return;
    pulls.push([size.width, size.height]);
    dialog.querySelector("[data-take]").disabled = !said.another;
    if (said.another) {
      begin();
      edges.width.focus();
    } else dialog.querySelector(".result button")?.focus();
  });
  dialog.querySelector("[data-again]").addEventListener("click", () => {
    pulls = [];
    dialog.querySelector(".result").replaceChildren();
    refuse("");
    begin();
  });
  begin();
}

// The tablet --------------------------------------------------------------------------------------

function tablet(dialog) {
  const inner = dialog.querySelector("dialog:not(.quiet)");
  const traces = [null, null];
  let which = 0;
  const trace = traceDialog(inner, async (strokes) => {
    const here = which;
    const before = traces[here];
    traces[here] = strokes;
    const said = await tell(dialog, "traces", { traces: traces.filter(Boolean) }, "tablet");
    if (!said) traces[here] = before;
    dialog.querySelectorAll(".done")[here].hidden = !traces[here];
  });
  for (const button of dialog.querySelectorAll("[data-trace]")) {
    button.addEventListener("click", () => {
      which = Number(button.dataset.trace);
      trace();
    });
  }
  const ruler = dialog.querySelector("#measure-ruler");
  // What is wrong is told here, and the letter is as it was.
  const take = async () => {
    untold(dialog, sharedLine(dialog));
    const typed = { tablet: ruler.value.trim() };
    if (!typed.tablet) return ruler.focus();
    const tried = await ask({ change: typed, about: "tablet" });
    if (!tried) return;
    const wrong = tried.wrong.find((each) => each.blank === "tablet");
    if (!wrong) {
      dialog.close();
      return change(typed, "tablet");
    }
    await restore();
    slip(ruler, wrong.says);
    ruler.focus();
    say(wrong.says);
  };
  dialog.querySelector("[data-ruler]").addEventListener("click", take);
  ruler.addEventListener("keydown", (event) => {
    if (event.key === "Enter") take();
  });
  dialog.querySelector("[data-touches]").addEventListener("click", () => touches(dialog));
  // The outer one hears of the inner ones' end too, and must stay.
  for (const each of dialog.querySelectorAll("dialog"))
    each.addEventListener("close", (event) => event.stopPropagation());
}
