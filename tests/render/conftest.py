"""What the tests of the command line share: the whole program, in an empty folder."""

import pytest

from render.cli import main


@pytest.fixture
def run_alone(capsys, tmp_path, monkeypatch):
    """Runs one command in an empty folder; gives its exit code, standard output and standard error."""
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
    """The same, for tests that need nothing else before it; modules that do bring a ``run`` of their own."""
    return run_alone
