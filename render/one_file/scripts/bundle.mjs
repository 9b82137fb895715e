// For the build: each page's scripts as one file of classic code, and the worker's as another.
// node bundle.mjs MODULES OUT STATIC SCRIPTS

import path from "node:path";
import { createRequire } from "node:module";

const [modules, out, statics, scripts] = process.argv.slice(2);
const { build, stop } = createRequire(path.join(modules, "x.js"))("esbuild-wasm");

const whole = { bundle: true, format: "iife", charset: "utf8", logLevel: "warning", minify: true };
const pages = ["desk.js", "start.js"].map((name) => path.join(statics, name));
await build({ ...whole, entryPoints: pages, outdir: path.join(out, "pages") });
const own = (name) => path.join(scripts, `${name}.js`);
await build({ ...whole, entryPoints: [own("start")], outdir: out });
await build({
  ...whole,
  entryPoints: [own("worker")],
  outdir: out,
  external: ["node:*", "ws"],
  nodePaths: [modules],
  logOverride: { "empty-import-meta": "silent" },
});
await stop?.();
