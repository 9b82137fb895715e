// For the build: byte-compiles folders of Python with the very Python that will run them.
// node compile.mjs MODULES FOLDER... : packs each FOLDER into FOLDER.zip

import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [modules, ...folders] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(path.join(modules, "pyodide/pyodide.mjs")).href);
// Neither texts about the code nor columns for tracebacks: nobody reads them there, and all of it
// is read at each start. Lines stay.
const python = await loadPyodide({ env: { HOME: "/home", PYTHONNODEBUGRANGES: "1" } });
const pack = python.runPython(`
import io, py_compile, zipfile
from pathlib import Path

def pack(folder):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_STORED) as archive:
        for path in sorted(Path(folder).rglob("*")):
            if path.is_dir() or "__pycache__" in path.parts:
                continue
            name = path.relative_to(folder).as_posix()
            content = path.read_bytes()
            if path.suffix == ".py":
                name += "c"
                py_compile.compile(
                    str(path), "/compiled", dfile=name[:-1], doraise=True, optimize=2,
                    invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH,
                )
                content = Path("/compiled").read_bytes()
            # No time: the same program gives the same bytes.
            archive.writestr(zipfile.ZipInfo(name), content)
    return made.getvalue()

pack
`);
for (const [index, folder] of folders.entries()) {
  const here = `/packed${index}`;
  python.FS.mkdir(here);
  python.FS.mount(python.FS.filesystems.NODEFS, { root: path.resolve(folder) }, here);
  const made = pack(here);
  fs.writeFileSync(`${folder}.zip`, made.toJs());
  made.destroy();
}
process.exit(0);
