"""The described and asked parts of the profile document, from a request and back."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, TypeVar

import msgspec

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.forms import TypedRect
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from mapper.units import MM_PER_INCH, as_typed
from profiles.format import schema
from profiles.written import factor, inches, per_inch, rect_as_described

T = TypeVar("T")


def alike(value: Any, kind: type[T]) -> T | None:
    """``value`` as a ``kind`` with the same fields; None where there is none."""
    return None if value is None else msgspec.convert(value, kind, from_attributes=True)


def asked_parts(request: MapRequest) -> dict[str, Any]:
    """The parts ``tablet``, ``displays`` and ``map`` of a document.

    ``request`` is that of a solved map, with nothing left open.
    """
    tablet = request.tablet
    return {
        "tablet": schema.TabletPart(
            label=tablet.label or None,
            width_mm=tablet.width_mm,
            height_mm=tablet.height_mm,
            **_resolution(tablet.counts_per_mm),
            turn_deg=tablet.turn_deg,
            slant_deg=tablet.slant_deg or None,
        ),
        "displays": [
            schema.DisplayPart(
                label=display.label,
                **_size(display),
                width_px=display.width_px,
                height_px=display.height_px,
                left_px=display.left_px,
                top_px=display.top_px,
                zoom=None if display.zoom == 1 else display.zoom,
                bezel_mm=display.bezel_mm,
                circles_round=(len(request.onto) > 1 and display.label == request.true_on) or None,
            )
            for display in request.desktop.displays
        ],
        "map": _map_part(request),
    }


def request_of(profile: schema.Described) -> MapRequest:
    """The request that a document's first half describes.

    Raises RequestError where it is not a possible one.
    """
    tablet, asked = _tablet(profile.tablet), profile.map
    return MapRequest(
        tablet=tablet,
        desktop=Desktop(
            tuple(
                Display(
                    display.width_px,
                    display.height_px,
                    display.width_mm,
                    display.height_mm,
                    display.left_px,
                    display.top_px,
                    display.label,
                    1.0 if display.zoom is None else display.zoom,
                    display.bezel_mm,
                    _diagonal_mm(display),
                )
                for display in profile.displays
            )
        ),
        fit=asked.fit,
        hold=asked.hold,
        onto=tuple(asked.onto),
        true_on=_true_on(profile.displays),
        window_px=alike(asked.window_px, Rect),
        within_built_mm=_asked_rect(asked.within, tablet, "map.within"),
        area_built_mm=_asked_rect(asked.area, tablet, "map.area"),
        feel=_feel(asked),
        step=alike(asked.step, Step),
    )


def _resolution(counts_per_mm: float | None) -> dict[str, float]:
    if counts_per_mm is None:
        return {}
    counts_per_in = None if factor(counts_per_mm) == counts_per_mm else per_inch(counts_per_mm)
    return (
        {"counts_per_mm": counts_per_mm}
        if counts_per_in is None
        else {"counts_per_in": counts_per_in}
    )


def _size(display: Display) -> dict[str, float]:
    if display.diagonal_mm is not None:
        diagonal_in = inches(display.diagonal_mm)
        return (
            {"diagonal_mm": display.diagonal_mm}
            if diagonal_in is None
            else {"diagonal_in": diagonal_in}
        )
    if display.width_mm is None or display.height_mm is None:
        return {}
    return {"width_mm": display.width_mm, "height_mm": display.height_mm}


def _tablet(part: schema.TabletPart) -> Tablet:
    counts_per_mm = part.counts_per_mm
    if part.counts_per_in is not None:
        if counts_per_mm is not None:
            raise RequestError(
                Problem(
                    "tablet", phrase("must have counts_per_mm or counts_per_in"), phrase("both")
                )
            )
        counts_per_mm = float(as_typed(part.counts_per_in) / as_typed(MM_PER_INCH))
    return Tablet(
        part.width_mm,
        part.height_mm,
        counts_per_mm,
        part.turn_deg,
        part.label or "",
        part.slant_deg or 0.0,
    )


def _true_on(displays: list[schema.DisplayPart]) -> str | None:
    """The label of the display that is marked."""
    marked = [display.label for display in displays if display.circles_round]
    if len(marked) > 1:
        must = phrase("must have circles_round at one display only")
        raise RequestError(Problem("displays", must, ", ".join(map(quoted, marked))))
    return marked[0] if marked else None


def _diagonal_mm(part: schema.DisplayPart) -> float | None:
    if part.diagonal_in is None:
        return part.diagonal_mm
    if part.diagonal_mm is not None:
        raise RequestError(
            Problem("displays", phrase("must have diagonal_in or diagonal_mm"), phrase("both"))
        )
    return float(as_typed(part.diagonal_in) * as_typed(MM_PER_INCH))


def _map_part(request: MapRequest) -> schema.MapPart:
    feel = request.feel
    # A feel may say no more than one scale factor.
    scale = (
        feel.scale_x if feel is not None and not feel.of and feel.scale_x == feel.scale_y else None
    )
    return schema.MapPart(
        fit=request.fit,
        hold=request.hold,
        onto=list(request.onto),
        window_px=alike(request.window_px, schema.PlainRect),
        within=_asked(request.within_built_mm, request.tablet),
        area=_asked(request.area_built_mm, request.tablet),
        scale=scale,
        feel=None
        if feel is None or scale is not None
        else schema.FeelPart(of=feel.of or None, scale_x=feel.scale_x, scale_y=feel.scale_y),
        step=alike(request.step, schema.StepPart),
    )


def _feel(asked: schema.MapPart) -> Feel | None:
    if asked.scale is not None and asked.feel is not None:
        raise RequestError(Problem("map", phrase("must not ask for both a scale and a feel")))
    if asked.scale is not None:
        return Feel(asked.scale, asked.scale)
    if asked.feel is not None:
        return Feel(asked.feel.scale_x, asked.feel.scale_y, asked.feel.of or "")
    return None


def _asked(rect_mm: Rect | None, tablet: Tablet) -> schema.AskedRect | None:
    if rect_mm is None:
        return None
    unit, rect = rect_as_described(rect_mm, tablet)
    return msgspec.convert({"unit": unit, **asdict(rect)}, schema.AskedRect)


def _asked_rect(part: schema.AskedRect | None, tablet: Tablet, where: str) -> Rect | None:
    if part is None:
        return None
    if part.unit == "mm":
        return alike(part, Rect)
    numbers = as_typed(part.left), as_typed(part.top), as_typed(part.width), as_typed(part.height)
    return TypedRect(numbers, part.unit).rect_mm(
        tablet.active_built_mm, tablet.counts_per_mm, where
    )
