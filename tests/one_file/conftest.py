"""Where the built page is, and whether there is what the tests of it need."""

import os
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def built():
    """The folder that ``python -m render.one_file`` wrote."""
    folder = os.environ.get("EVENSTROKE_ONE_FILE")
    if not folder or not Path(folder, "evenstroke.html").is_file():
        pytest.skip(
            "EVENSTROKE_ONE_FILE names no folder with the page as one file (python -m "
            "render.one_file OUT)"
        )
    return Path(folder).resolve()
