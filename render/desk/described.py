"""A desk as the page has it: the texts that the command line takes, and the way there and back.

The page holds no numbers of a map. Each blank of the letter is one or a few of these texts, so that
what may be typed there is what may be typed after an option, and the same text means the same on
both ways. The texts are the rows of ``profiles.fields``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import msgspec
from msgspec import Meta, Struct

from mapper.mapping.feel import Feel
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.fields import FIELDS, set_to
from profiles.requests import SEAT, map_request, seat_from

if TYPE_CHECKING:
    from mapper.mapping.solve import MapRequest
    from mapper.seat import Seat
    from profiles.format.document import Workstation

#: A blank takes 300 letters. What is written of a profile may be longer than what was typed, as it
#: says sizes and places besides, and it must be read again. No desk has as many displays.
LONGEST_TEXT, MOST_DISPLAYS = 4000, 32

Line = Annotated[str, Meta(max_length=LONGEST_TEXT)]
Positive = Annotated[float, Meta(gt=0)]


class FeelOf(Struct, frozen=True, forbid_unknown_fields=True):
    """The feel of another workstation, mm of glass for a mm of hand, across and down.

    No one text says it.
    """

    scale_x: Positive
    scale_y: Positive
    of: Line = ""


class _Texts(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True, kw_only=True):
    """What is said of a desk, field by field; an empty text was not said."""

    if TYPE_CHECKING:

        def __init__(self, **_texts: Any) -> None: ...

        def __getattr__(self, name: str) -> Any: ...

    def with_(self, change: dict[str, Any]) -> Description:
        """This description with some texts changed.

        Raises RequestError for what is no text of a description.
        """
        return from_plain({**msgspec.to_builtins(self), **change})

    def set_to(self, change: dict[str, Any]) -> Description:
        """This description with some texts set, and what gives way to them taken back."""
        return self.with_(set_to(change))

    @property
    def texts(self) -> dict[str, Any]:
        """Every text by the name of its field."""
        return {name: getattr(self, name) for name in FIELDS}


#: The fields that are no single line.
_TYPES: dict[str, Any] = {
    "displays": Annotated[tuple[Line, ...], Meta(max_length=MOST_DISPLAYS)],
    "feel": FeelOf | None,
}

if TYPE_CHECKING:
    Description = _Texts
else:
    Description = msgspec.defstruct(
        "Description",
        [(name, _TYPES.get(name, Line), field.unsaid) for name, field in FIELDS.items()],
        bases=(_Texts,),
        frozen=True,
        forbid_unknown_fields=True,
        omit_defaults=True,
        kw_only=True,
        module=__name__,
    )


def from_plain(data: Any) -> Description:
    """A description from plain data, as JSON has it. Raises RequestError for anything else."""
    try:
        return msgspec.convert(data, Description)
    except msgspec.ValidationError as error:
        raise RequestError(
            Problem("description", phrase("must be a desk's texts"), str(error))
        ) from None


def request_of(said: Description) -> MapRequest:
    """The request that a complete description makes.

    Raises RequestError with all problems at once.
    """
    texts = said.texts
    if said.area:
        texts["fit"] = "full"
    if not said.step:
        # A tolerance is kept for the next step.
        texts["shape_tolerance"] = ""
    feel = None if said.scale or said.feel is None else said.feel
    texts["feel"] = feel and (lambda: Feel(feel.scale_x, feel.scale_y, feel.of))
    return map_request(None, **texts)


def seat_of(said: Description) -> Seat | None:
    """Where the person sits, None where no distance is said. Raises RequestError."""
    return seat_from({name: getattr(said, name) for name in SEAT})


def described(workstation: Workstation) -> Description:
    """The texts that say the same as a workstation."""
    texts = {name: field.write(workstation) for name, field in FIELDS.items()}
    feel: Feel | None = texts["feel"]
    return Description(**{**texts, "feel": feel and FeelOf(feel.scale_x, feel.scale_y, feel.of)})
