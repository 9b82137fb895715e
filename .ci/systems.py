"""Run the tests on this system, Windows, macOS or Linux: `python .ci/systems.py [OPTIONS]`.

The options are pytest's.

Makes a virtual environment in a temporary folder, installs the program, and after it each library
of the tests that can be had here; the tests of what cannot be had are left out, by file, and named.
Browsers are not asked for. At the end comes what `evenstroke doctor` says of this computer. Leaves
with pytest's exit code.
"""

import os
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
#: What is imported of a distribution, where that is not its own name.
IMPORTED = {
    "hid-tools": "hidtools",
    "icalendar": "icalendar",
    "opencv-python-headless": "cv2",
    "resvg-py": "resvg_py",
    "ruamel-yaml": "ruamel",
    "scikit-image": "skimage",
    "skia-python": "skia",
    "import-linter": "importlinter",
}


def installed(python, *what):
    """Whether pip could install it, wheels alone."""
    asked = [
        python,
        "-m",
        "pip",
        "install",
        "-q",
        "--disable-pip-version-check",
        "--only-binary",
        ":all:",
        *what,
    ]
    done = subprocess.run(asked, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        print(*done.stderr.strip().splitlines()[-1:], flush=True)
    return not done.returncode


def imports(path, modules):
    found = re.findall(r"^\s*(?:from|import) (\w+)", path.read_text("utf-8"), re.MULTILINE)
    return sorted(modules & set(found))


def main(options):
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"][
        "optional-dependencies"
    ]["test"]
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        subprocess.run([sys.executable, "-m", "venv", folder], check=True)
        python = str(Path(folder, "Scripts" if os.name == "nt" else "bin", "python"))
        if not installed(python, "-e", ".", "pytest", "hypothesis"):
            return 1
        missing = set()
        if not installed(python, *wanted):
            missing = {
                re.split("[<>=; ]", each)[0].lower()
                for each in wanted
                if not installed(python, each)
            }
        modules = {IMPORTED.get(name, name.replace("-", "_")) for name in missing}
        left_out = {
            path: of for path in (ROOT / "tests").rglob("*.py") if (of := imports(path, modules))
        }
        for path, of in left_out.items():
            print(
                f"left out: {path.relative_to(ROOT).as_posix()}, which needs {', '.join(of)}",
                flush=True,
            )
        ignored = [f"--ignore={path}" for path in left_out]
        tests = [
            "-m",
            "pytest",
            "-q",
            "-m",
            "not browsers",
            "--hypothesis-profile=few",
            *ignored,
            *options,
        ]
        code = subprocess.run([python, *tests], cwd=ROOT, check=False).returncode
        subprocess.run([python, "-m", "render.cli", "doctor"], cwd=ROOT, check=False)
        return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
