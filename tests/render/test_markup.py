"""Sentences as HTML: names stand apart, marked words become elements, all else is escaped."""

from jinja2 import Environment
from markupsafe import Markup

from render.desk.markup import aloud, html, marked, teach
from render.sentences.say import Name, paragraph, say

NAME = Name("\u05d3\u05e0\u05d4 <b>")
HELD = '<span class="held">{}</span>'
SHOWN = "<bdi>\u05d3\u05e0\u05d4 &lt;b&gt;</bdi>"


def test_a_name_stands_apart_however_deep_it_lies():
    inner = say("{size} on {name}", size="27 in", name=NAME)
    said = paragraph([say("Round, {list}.", list=inner), say("a < b")])
    assert html(said) == f"Round, {HELD.format('27 in')} on {SHOWN}. a &lt; b"
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


def test_a_number_stays_with_its_unit_wherever_it_comes_from_and_attributes_are_left_alone():
    distance = say("{number} cm", number="70")
    link = Markup('<a title="at 70 cm">2560 × 1440 px</a>')
    said = say("At {distance}, {mm} mm or 12.5 % of {link}.", distance=distance, mm="3", link=link)
    held = [HELD.format(each) for each in ("70 cm", "3 mm", "12.5 %", "2560 × 1440 px")]
    assert html(said) == (
        f'At {held[0]}, {held[1]} or {held[2]} of <a title="at 70 cm">{held[3]}</a>.'
    )
    # Once is enough.
    assert html(say("{all}.", all=html(distance))) == f"{held[0]}."


def test_an_isolate_of_a_template_goes_over_its_slots_and_one_of_a_name_does_not_leave_it():
    length = say("\u2066{number}\xa0cm\u2069", number="70")
    held = HELD.format("70\xa0cm")
    assert html(say("At {length}.", length=length)) == f"At \u2066{held}\u2069."
    assert "\u2066" not in html(say("At {place}.", place="\u206670 cm"))
