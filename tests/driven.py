"""Browsers that a script of node drives, by puppeteer-core (npm)."""

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest


def puppeteer(name):
    """Node, the browser ``name`` and the folder of node's modules. Skips where one is missing."""
    debian = {"firefox": "firefox-esr"}.get(name, name)
    program = shutil.which(debian) or shutil.which(name)
    node, modules = shutil.which("node"), os.environ.get("EVENSTROKE_NODE_MODULES")
    if not (program and node):
        pytest.skip(f"{name} or node is not installed (Debian: apt-get install {debian} nodejs)")
    if not modules or not Path(modules, "puppeteer-core").is_dir():
        pytest.skip(
            "EVENSTROKE_NODE_MODULES names no folder with puppeteer-core (npm install "
            "puppeteer-core)"
        )
    return node, program, modules


def seen_by(*command, timeout_s):
    """What a script printed as JSON."""
    ran = subprocess.run(command, capture_output=True, text=True, timeout=timeout_s, check=False)
    assert ran.returncode == 0, ran.stderr
    return json.loads(ran.stdout)
