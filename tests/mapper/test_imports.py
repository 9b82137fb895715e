"""What a bare import loads.

A command that only computes a rectangle has no reason to wait for numpy or matplotlib.
"""

import subprocess
import sys

HEAVY = ("numpy", "matplotlib", "PIL", "scipy")
FILES = ("yaml", "msgspec")


def loaded_by(checkout, code):
    """The top-level modules that are loaded after ``code`` in a fresh interpreter."""
    report = (
        f"{code}\nimport sys; print('\\n' + ' '.join({{name.partition('.')[0] for name in "
        f"sys.modules}}))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", report], cwd=checkout, check=True, capture_output=True, text=True
    )
    return set(ran.stdout.rstrip().rpartition("\n")[2].split())


def test_the_mathematics_of_one_map_needs_the_standard_library_alone(checkout):
    loaded = loaded_by(
        checkout, "import mapper.solving, mapper.mapping.forms, mapper.mapping.entry"
    )
    # What the interpreter loads by itself, site-packages' own hooks among it, is not the module's
    # doing.
    assert loaded - loaded_by(checkout, "pass") - sys.stdlib_module_names == {"mapper"}


MAP = """
from render.cli import main
try:
    main(["map", "--tablet", "240x152mm@150/mm", "--display", "27in 2560x1440"])
except SystemExit as left:
    assert left.code == 0, left.code
"""


def test_a_map_on_the_command_line_loads_no_numpy_no_matplotlib_and_no_yaml(checkout):
    loaded = loaded_by(checkout, MAP)
    assert "click" in loaded
    assert loaded.isdisjoint(HEAVY + FILES)


def test_a_pair_loads_no_numpy(checkout):
    pair = (
        "from mapper.choosing.pairing import CUSTOMARY_TABLETS as t, USUAL_DISPLAYS as d, pair; "
        "pair(t[0], d[0])"
    )
    assert "numpy" not in loaded_by(checkout, pair)


def test_many_points_load_numpy_and_a_single_one_does_not(checkout):
    one = "from mapper.affine import Affine; Affine.identity().point(1, 2)"
    assert "numpy" not in loaded_by(checkout, one)
    assert "numpy" in loaded_by(checkout, one.replace("point(1, 2)", "points([[1, 2]])"))
