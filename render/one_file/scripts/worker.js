// The Python in a worker: all that it loads is handed to it, nothing is fetched. What a request
// wrote is in the browser's storage before its answer is given.

import "./no_scripts.js";
import { loadPyodide } from "pyodide";
import createPyodideModule from "pyodide/pyodide.asm.mjs";
import { Files, HOME } from "./files.js";

// Nobody is there under this address, and nobody is asked.
const NOWHERE = "http://here.invalid/";

let python;
let call;
let files;

// Pyodide fetches its parts; here they are at hand, and there is nothing else.
function serveParts(parts) {
  self.fetch = (what) => {
    const name = String(what.url ?? what).split("/").pop();
    if (!(name in parts)) return Promise.reject(new TypeError(`nothing is fetched: ${what}`));
    const kind = name.endsWith(".wasm") ? "application/wasm" : "application/octet-stream";
    return Promise.resolve(new Response(parts[name], { headers: { "Content-Type": kind } }));
  };
}

async function boot({ parts, lock, assets }) {
  serveParts(parts);
  python = await loadPyodide({
    createPyodideModule,
    indexURL: NOWHERE,
    packageBaseUrl: NOWHERE,
    stdLibURL: `${NOWHERE}standard.zip`,
    lockFileContents: lock,
    env: { HOME, PYTHONDONTWRITEBYTECODE: "1" },
  });
  self.postMessage({ reached: "python" });
  python.unpackArchive(parts["program.zip"], "zip", { extractDir: "/program" });
  for (const name of Object.keys(parts)) delete parts[name];
  files = new Files(python.FS, HOME);
  await files.restore();
  python.runPython("import sys; sys.path.insert(0, '/program')");
  const begin = python.runPython("from render.one_file.inside import begin; begin");
  call = begin(`${HOME}/library`, python.toPy(assets), navigator.languages.join(","));
  begin.destroy();
  return { storage: files.state };
}

async function ask({ method, address, body, kind }) {
  const made = call(method, address, body ?? new Uint8Array(0), kind ?? "");
  const [status, headers, content] = made.toJs({ dict_converter: Object.fromEntries });
  made.destroy();
  const wrote = await files.store();
  return { status, headers, content, wrote, storage: files.state };
}

// One after the other, in the order in which they came.
let last = Promise.resolve();
self.onmessage = ({ data: { id, ...asked } }) => {
  last = last.then(async () => {
    try {
      const said = await (asked.boot ? boot(asked.boot) : ask(asked));
      self.postMessage({ id, said });
    } catch (error) {
      self.postMessage({ id, wrong: String(error?.stack || error) });
    }
  });
};
