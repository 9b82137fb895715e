"""What these tests share.

The whole program in an empty folder, and who visits the pages, with a browser and without.
"""

import pytest

from render.cli import main


@pytest.fixture
def run_alone(capsys, tmp_path, monkeypatch):
    """Run one command in an empty folder; its exit code, standard output and standard error."""
    monkeypatch.chdir(tmp_path)

    def run_one(*arguments):
        with pytest.raises(SystemExit) as left:
            main([str(argument) for argument in arguments])
        captured = capsys.readouterr()
        assert "Traceback" not in captured.err
        return left.value.code, captured.out, captured.err

    return run_one


@pytest.fixture
def run(run_alone):
    """Run one command as ``run_alone`` does; some modules bring a ``run`` of their own."""
    return run_alone


@pytest.fixture
def visitor(tmp_path, monkeypatch):
    """Somebody who was let in at a server that is asked without a browser."""
    from tests.visitor import Visitor

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    found = Visitor(tmp_path / "library")
    yield found
    found.close()


@pytest.fixture
def opened(browser, served):
    """Opens desk pages of a running server; at the end nothing may have gone wrong in them."""
    from tests.watched import DeskPage

    pages = []

    def open_one(width=1366, height=768, **more):
        context = browser.new_context(viewport={"width": width, "height": height}, **more)
        pages.append(DeskPage(context, served))
        return pages[-1]

    yield open_one
    for page in pages:
        page.check((served.door.origin, "blob:", "data:"))
        page.context.close()
