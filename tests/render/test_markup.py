"""Sentences as HTML: names stand apart, marked words become elements, all else is escaped."""

from jinja2 import Environment

from render.desk.markup import aloud, html, marked, teach
from render.sentences.say import Name, paragraph, say

NAME = Name("\u05d3\u05e0\u05d4 <b>")
SHOWN = "<bdi>\u05d3\u05e0\u05d4 &lt;b&gt;</bdi>"


def test_a_name_stands_apart_however_deep_it_lies():
    inner = say("{size} on {name}", size="27 in", name=NAME)
    said = paragraph([say("Round, {list}.", list=inner), say("a < b")])
    assert html(said) == f"Round, 27 in on {SHOWN}. a &lt; b"
    assert aloud(said) == f"Round, 27 in on \u2068{NAME}\u2069. a < b"


def test_what_is_marked_becomes_an_element_and_brackets_of_a_name_stay_letters():
    said = say("See [all desks] of {name}", name=Name("[x]"))
    assert marked(said, "<a>", "</a>") == "See <a>all desks</a> of <bdi>[x]</bdi>"


def test_a_template_says_sentences_itself():
    templates = Environment(autoescape=True)
    teach(templates)
    source = '{{ say("Without {name}", name=name(typed)) }}|{{ say("{x}", x=typed)|aloud }}'
    shown = templates.from_string(source).render(typed="a & b")
    assert shown == "Without <bdi>a &amp; b</bdi>|a &amp; b"
