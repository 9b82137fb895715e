"""Tries a change of the code: in a forked copy of a process that has collected the tests.

A change inside a function is put into the functions that are there, whoever has imported them; all
else (a table, a class body, a default value, what runs while modules are imported) needs a fresh
import of everything, which takes a second or two.
"""

import contextlib
import gc
import importlib.abc
import importlib.util
import inspect
import os
import pickle
import resource
import shutil
import signal
import sys
import tempfile
import time
import types
import warnings
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

import coverage
import pytest
from hypothesis import Phase, settings

ROOT = Path(__file__).resolve().parents[2]
OURS = ("mapper", "profiles", "render", "gallery", "tests", "evenstroke")
OPTIONS = ["-x", "-q", "-s", "--tb=no", "-p", "no:cacheprovider", "-p", "no:xdist"]
OPTIONS += ["-m", "not browsers and not long", "-W", "ignore::pytest.PytestAssertRewriteWarning"]
#: How many invented examples a property gets at first.
FEW = 15
#: What a test may take, in seconds of the processor and by the clock: of a busy machine.
TAKES_AT_MOST = (2, 5), (60, 60)
MOST_BYTES = 8 << 30
_COMPREHENSIONS = {"<listcomp>", "<setcomp>", "<dictcomp>", "<genexpr>"}


@dataclass(slots=True)
class Notes:
    """What the tests do where nothing is changed.

    By file and line the tests that run it (0 is the whole file, and None among them is the import),
    the seconds of each test, which failed, and which invent examples.
    """

    lines: dict = field(default_factory=dict)
    seconds: dict = field(default_factory=dict)
    failed: set = field(default_factory=set)
    properties: set = field(default_factory=set)

    def tests(self, path, line=0):
        """The tests that run a line of a file; 0 is the whole file."""
        return self.lines.get((path, line), set()) - {None}


class Session:
    """Stands in for pytest's loop over the tests.

    It notes what they run, then hands over to ``use``.
    """

    def __init__(self, paths, use):
        self.paths, self.use = paths, use
        self.measuring = coverage.Coverage(data_file=None, include=[str(path) for path in paths])
        self.measuring.start()
        self.notes = self.items = self.functions = None

    def pytest_runtestloop(self, session):
        self.items = {item.nodeid: item for item in session.items}
        self.notes = _from_child(self._noted)
        self.measuring.stop()
        self.functions = _functions(self.paths)
        gc.collect()
        gc.freeze()
        self.use(self)
        return True

    def _noted(self):
        notes = Notes()
        for item, following in _with_next(list(self.items.values())):
            eased(item, few=True)
            self.measuring.switch_context(item.nodeid)
            began = time.process_time()
            if ran_and_failed(item, following):
                notes.failed.add(item.nodeid)
            notes.seconds[item.nodeid] = time.process_time() - began
            self.measuring.switch_context("")
            if hasattr(getattr(item, "obj", None), "hypothesis"):
                notes.properties.add(item.nodeid)
        self.measuring.stop()
        data = self.measuring.get_data()
        for path in self.paths:
            for line, contexts in data.contexts_by_lineno(str(path)).items():
                within = {context or None for context in contexts} - notes.failed
                notes.lines[path, line] = within
                notes.lines[path, 0] = notes.lines.get((path, 0), set()) | within
        return notes

    def replaced(self, path, before, after):
        """The new code by function, or None where the change needs a fresh import."""
        codes = replaced(path, before, after, self.notes.lines)
        if codes is None or any(old not in self.functions for old in codes):
            return None
        return codes

    def fails(self, codes, nodeids, *, few):
        """Whether one of the tests fails with this code."""
        items = [self.items[each] for each in nodeids]

        def tried():
            for key, code in codes.items():
                for function in self.functions[key]:
                    function.__code__ = code
            for item in items:
                eased(item, few=few)
            for item, following in _with_next(items):
                limited(self.notes.seconds[item.nodeid], few=few)
                if ran_and_failed(item, following):
                    return True
            return False

        return _fails(tried)

    def fails_afresh(self, path, after, nodeids, *, few):
        """Whether one of the tests fails where everything is imported anew, with the change."""

        def tried():
            _without_us()
            sys.meta_path.insert(0, Changed(path, after))
            files = list(dict.fromkeys(nodeid.partition("::")[0] for nodeid in nodeids))
            chosen = Chosen(self.notes.seconds, nodeids, few=few)
            return pytest.main([*OPTIONS, *files], plugins=[chosen]) != pytest.ExitCode.OK

        return _fails(tried)


def _with_next(items):
    """Each with the one that comes after it, which keeps the fixtures that both have."""
    return zip(items, [*items[1:], None], strict=True)


class Chosen:
    """Runs the given tests alone, in the order given, each within its time."""

    def __init__(self, seconds, order, *, few):
        self.seconds, self.order, self.few = seconds, order, few

    def pytest_collection_modifyitems(self, items):
        known = {item.nodeid: item for item in items}
        items[:] = [known[each] for each in self.order if each in known]
        for item in items:
            eased(item, few=self.few)

    def pytest_runtest_setup(self, item):
        limited(self.seconds[item.nodeid], few=self.few)


class Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from changed source."""

    def __init__(self, path, source):
        self.path, self.source = path, source
        self.name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        self.name = self.name.removesuffix(".__init__")

    def find_spec(self, name, _path=None, _target=None):
        if name == self.name:
            return importlib.util.spec_from_file_location(name, self.path, loader=self)
        return None

    def exec_module(self, module):
        exec(compile(self.source, str(self.path), "exec"), module.__dict__)  # noqa: S102


def replaced(path, before, after, lines):
    """By file, line and name the new code of the functions that the change is in.

    None where it is not only in functions, or in one that runs while modules are imported.
    """
    with warnings.catch_warnings():
        # A change may read oddly.
        warnings.simplefilter("ignore", SyntaxWarning)
        old, new = (compile(each, str(path), "exec") for each in (before, after))
    pairs = {}
    if not _differing(old, new, pairs):
        return None
    for code, _ in pairs.values():
        if any(None in lines.get((path, line), ()) for line in _lines_within(code)):
            return None
    return {key: new_code for key, (_, new_code) in pairs.items()}


def _differing(old, new, pairs):
    """Collect the outermost functions that differ; whether all else is alike."""
    ours, theirs = _nested(old), _nested(new)
    if [each.co_qualname for each in ours] != [each.co_qualname for each in theirs]:
        return False
    if _bare(old) != _bare(new):
        return False
    for one, other in zip(ours, theirs, strict=True):
        if one == other:
            continue
        if one.co_flags & inspect.CO_OPTIMIZED:
            if one.co_name in _COMPREHENSIONS or one.co_freevars != other.co_freevars:
                return False
            pairs[_key(one)] = one, other
        elif not _differing(one, other, pairs):
            return False
    return True


def _nested(code):
    return [each for each in code.co_consts if isinstance(each, types.CodeType)]


def _bare(code):
    """A code object without those within it."""
    consts = tuple(
        "code" if isinstance(each, types.CodeType) else (type(each), repr(each))
        for each in code.co_consts
    )
    return code.co_code, consts, code.co_names, code.co_varnames


def _lines_within(code):
    yield from (line for *_, line in code.co_lines() if line and line != code.co_firstlineno)
    for each in _nested(code):
        yield from _lines_within(each)


def _key(code):
    return code.co_filename, code.co_firstlineno, code.co_qualname


def _functions(paths):
    """Every function of these files that is there, by its file, line and name."""
    files = {str(path) for path in paths}
    found = defaultdict(list)
    for each in gc.get_objects():
        if type(each) is types.FunctionType and each.__code__.co_filename in files:
            found[_key(each.__code__)].append(each)
    return found


def ran_and_failed(item, following):
    """Run a test; ``following`` keeps the fixtures of the session, and is None after the last."""
    failed = item.session.testsfailed
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
    return item.session.testsfailed > failed


def eased(item, *, few):
    """Let a property neither shrink what it finds nor write it down, and try few examples."""
    function = getattr(item, "obj", None)
    function = getattr(function, "__func__", function)
    asked = getattr(function, "_hypothesis_internal_use_settings", None)
    if asked is not None:
        examples = min(FEW, asked.max_examples) if few else asked.max_examples
        function._hypothesis_internal_use_settings = settings(
            asked,
            max_examples=examples,
            phases=(Phase.explicit, Phase.generate),
            database=None,
            derandomize=True,
        )


def limited(usual_s, *, few):
    """End this process where a test takes far longer than it did, which is a failure."""
    times = 1 if few else 10
    (least, rate), (least_wall, rate_wall) = TAKES_AT_MOST
    signal.setitimer(signal.ITIMER_PROF, least + rate * times * usual_s)
    signal.alarm(int(least_wall + rate_wall * times * usual_s))


def _fails(tried):
    """Whether ``tried()``, in a child, is true or does not end well."""
    child = os.fork()
    if not child:
        _alone()
        code = 1
        with contextlib.suppress(BaseException):
            code = 1 if tried() else 0
        os._exit(code)
    return _ended(child) != 0


def _from_child(made):
    """What ``made()`` returns in a child."""
    with tempfile.NamedTemporaryFile() as file:
        child = os.fork()
        if not child:
            errors = os.dup(2)
            _alone()
            try:
                Path(file.name).write_bytes(pickle.dumps(made()))
            except BaseException as error:  # noqa: BLE001 - told, by the parent's standard error
                os.write(errors, f"{error!r}\n".encode())
                os._exit(1)
            os._exit(0)
        if _ended(child):
            sys.exit("The tests could not be run.")
        return pickle.loads(Path(file.name).read_bytes())  # noqa: S301 - our own child wrote it


def _alone():
    """A child's own group, temporary folder and silence."""
    os.setsid()
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    # pytest makes its folders in here.
    place = _place_of(os.getpid())
    place.mkdir()
    os.environ["TMPDIR"] = tempfile.tempdir = str(place)
    nowhere = os.open(os.devnull, os.O_RDWR)
    for descriptor in (0, 1, 2):
        os.dup2(nowhere, descriptor)


def _ended(child):
    """The child's status, once the processes that it started are ended and its files removed."""
    _, status = os.waitpid(child, 0)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    shutil.rmtree(_place_of(child), ignore_errors=True)
    return status


def _place_of(process):
    return Path(tempfile.gettempdir()) / f"evenstroke-mutation-{process}"


def _without_us():
    """Forget everything of this project's that was imported."""
    for name in list(sys.modules):
        if name.partition(".")[0] in OURS and not name.startswith("tests.mutation"):
            del sys.modules[name]
