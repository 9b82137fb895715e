"""Which parser reads, and that both give the same data and only the project's own errors."""

import pytest
import yaml

from mapper.problems import RequestError
from profiles import yaml_text

TEXTS = [
    "a: 1\nb: [1.5, text, null]\nc:\n  - d: 'quoted'\n    e: |\n      two\n      lines\n",
    "\ufeffa: 1",
    "a: 1\r\nb: 2\r\n",
    "{a: 1, b: {c: [true, ~]}}",
    "a: 1\n...\n",
]
# A digit of another script makes no number, neither for PyYAML nor for us.
TEXTS += [f"a: {text}" for text in ("1\u0661", "\u0661", "1.\u0661", "0\u0661", "-5", "+5", ".5", "5.", "1e-3x")]
WRONG = [
    "\ud800",
    "a: \x00",
    "a: [1",
    "a: b: c",
    "\ta: 1",
    "a: &x\n  - *x",
    "",
    "a: 1\n---\nb: 1",
    "a: 16:9",
    "? [a]\n: b",
]


@pytest.fixture(params=["libyaml", "pure"])
def parser(request, monkeypatch):
    if request.param == "pure":
        monkeypatch.setattr(yaml_text, "_Parser", yaml.SafeLoader)
    elif not yaml.__with_libyaml__:
        pytest.skip("PyYAML was built without libyaml here")


def test_libyaml_reads_where_it_is_there():
    # It was once looked for under a name that PyYAML does not export, and the slow parser was used without a word.
    assert not yaml.__with_libyaml__ or yaml_text._Parser.__module__ == "yaml._yaml"


@pytest.mark.oracle
@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize("text", TEXTS)
def test_reads_what_pyyaml_reads(text):
    assert yaml_text.parse(text, "file").data == yaml.safe_load(text)


@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize("text", WRONG, ids=ascii)
def test_refuses_in_its_own_words(text):
    with pytest.raises(RequestError, match="file"):
        yaml_text.parse(text, "file")
