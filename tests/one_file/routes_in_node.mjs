// The same visit as visit.py's, in the Python of the one file under node:
// `node routes_in_node.mjs MODULES FOLDER VISIT` prints what each request was answered as JSON.

import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import zlib from "node:zlib";

const [modules, folder, visit] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(path.join(modules, "pyodide/pyodide.mjs")).href);
const python = await loadPyodide({ stdout: () => {} });
// The very program that is in the file, byte-compiled as it is there.
const program = zlib.gunzipSync(fs.readFileSync(path.join(folder, "program.zip.bin")));
python.unpackArchive(new Uint8Array(program), "zip", { extractDir: "/program" });
python.FS.writeFile("/visit.py", fs.readFileSync(visit));
const seen = python.runPython(`
import json, sys
sys.path[:0] = ["/program", "/"]
from pathlib import Path
from render.one_file.inside import Inside
from visit import visit

seen = visit(Inside(Path("/home/library"), {}))
json.dumps([(what, status, content.decode("latin-1")) for what, status, _, content in seen])
`);
process.stdout.write(seen, () => process.exit(0));
