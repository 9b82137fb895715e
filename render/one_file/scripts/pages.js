// Pages one after the other in this document: each is written whole, as a browser writes one that
// it fetched. The address after the # names it, so that going back, loading again and bookmarks
// work.

import { root } from "./address.js";
import { ask } from "./python.js";
import { afterAnswer, showLine, wouldLose } from "./stored.js";
import { pictureOf } from "./picture.js";
import { endOthers, later } from "./timers.js";

const START = `${root}/`;
const DESK = `${START}desk/`;

let path = START;
const named = () => {
  const said = decodeURI(location.hash.slice(1));
  return said.startsWith(START) ? said : START;
};

let pages = 0;

// What the scripts of the page that is shown now find (place.js). What a page asked, or still asks,
// when another has taken its place is answered no more.
export function forPage() {
  const page = pages;
  const whileShown = (act) => (page === pages ? act() : undefined);
  return {
    root,
    pathNow: () => path,
    goTo: (address) => whileShown(() => show(address, { push: true })),
    pushAddress: (state, address) =>
      whileShown(() => {
        path = address;
        history.pushState(state, "", `#${address}`);
      }),
    send: async (address, more) => {
      const reply = await whileShown(() => send(String(address), more));
      return page === pages ? reply : new Promise(() => {});
    },
  };
}

// As fetch: the reply to one request of a page.
async function send(address, { method = "GET", headers, body } = {}) {
  const content =
    body === undefined ? undefined : new Uint8Array(await new Response(body).arrayBuffer());
  const said = await answer(address, {
    method,
    body: content,
    kind: new Headers(headers).get("Content-Type") ?? "",
  });
  return new Response(said.status === 204 ? null : said.content, said);
}

async function answer(address, { method = "GET", body, kind } = {}) {
  // A browser draws the picture itself.
  if (/\/picture\.png(\?|$)/.test(address)) {
    const drawn = await ask({ method, address: address.replace("/picture.png", "/picture.svg") });
    return drawn.status === 200 ? pictureOf(drawn) : drawn;
  }
  const said = await ask({ method, address, body, kind });
  afterAnswer(said, address);
  return said;
}

export async function download(address) {
  const said = await answer(address);
  if (said.status !== 200) return;
  const header = said.headers["content-disposition"] ?? "";
  const whole = /filename\*=UTF-8''([^;]+)/.exec(header)?.[1];
  const name = whole ? decodeURIComponent(whole) : /filename="([^"]+)"/.exec(header)?.[1];
  saveAs(new Blob([said.content], { type: said.headers["content-type"] }), name ?? "evenstroke");
}

function saveAs(content, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.click();
  later(() => URL.revokeObjectURL(link.href), 60_000);
}

// -- pages

export async function show(address, { push = false } = {}) {
  let said = await answer(address);
  while (said.status >= 300 && said.status < 400) {
    address = new URL(said.headers.location, `http://here.invalid${address}`).pathname;
    said = await answer(address);
  }
  const isNew = address !== path;
  path = address;
  if (push && isNew) history.pushState(null, "", `#${address}`);
  else history.replaceState(history.state, "", `#${address}`);
  endOthers();
  pages += 1;
  document.open();
  // Opening a document ends what listened to the one before.
  listen();
  document.write(new TextDecoder().decode(said.content));
  document.close();
  showLine();
}

function listen() {
  addEventListener("popstate", (event) => {
    const address = named();
    const desk = (each) => each.startsWith(DESK) && each.slice(DESK.length).split("/")[0];
    const sameDesk = desk(address) && desk(address) === desk(path);
    // Steps of one desk are the page's own business, which listens after this.
    if (event.state?.step !== undefined && sameDesk) {
      path = address;
      return;
    }
    event.stopImmediatePropagation();
    show(address);
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    const address = link?.getAttribute("href");
    if (!address?.startsWith(START) || event.defaultPrevented || event.button) return;
    event.preventDefault();
    if (link.hasAttribute("download")) download(address);
    else show(address, { push: true });
  });
  // A window that closes takes with it what is stored nowhere.
  addEventListener("beforeunload", (event) => {
    if (wouldLose()) event.preventDefault();
  });
  // A file that is dropped beside its zone would take the page's place.
  for (const name of ["dragover", "drop"])
    addEventListener(name, (event) => {
      if (!event.defaultPrevented) event.preventDefault();
    });
}

export const begin = () => show(named());
