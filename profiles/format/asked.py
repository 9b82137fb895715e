"""What was described and asked, between the mapper's request and the parts of the profile document."""

from __future__ import annotations

from typing import Any

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from profiles.format import schema


def asked_parts(request: MapRequest) -> dict[str, Any]:
    """The parts ``tablet``, ``displays`` and ``map``; ``request`` is a solved map's own, with nothing left open."""
    tablet = request.tablet
    return {
        "tablet": schema.TabletPart(
            label=tablet.label or None,
            width_mm=tablet.width_mm,
            height_mm=tablet.height_mm,
            counts_per_mm=tablet.counts_per_mm,
            turn_deg=tablet.turn_deg,  # type: ignore[arg-type]
            slant_deg=tablet.slant_deg or None,
        ),
        "displays": [
            schema.DisplayPart(
                label=display.label,
                width_mm=display.width_mm,
                height_mm=display.height_mm,
                width_px=display.width_px,
                height_px=display.height_px,
                left_px=display.left_px,
                top_px=display.top_px,
                zoom=None if display.zoom == 1 else display.zoom,
                bezel_mm=display.bezel_mm,
            )
            for display in request.desktop.displays
        ],
        "map": _map_part(request),
    }


def request_of(profile: schema.Profile) -> MapRequest:
    """The request that a document's first half describes. Raises RequestError where it is not a possible one."""
    tablet, asked = profile.tablet, profile.map
    return MapRequest(
        tablet=Tablet(
            tablet.width_mm,
            tablet.height_mm,
            tablet.counts_per_mm,
            tablet.turn_deg,
            tablet.label or "",
            tablet.slant_deg or 0.0,
        ),
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
                )
                for display in profile.displays
            )
        ),
        fit=asked.fit,
        hold=asked.hold,
        onto=tuple(asked.onto),
        true_on=asked.true_on,
        window_px=_rect(asked.window_px),
        within_built_mm=_rect(asked.within_mm),
        area_built_mm=_rect(asked.area_mm),
        feel=_feel(asked),
        step=None if asked.step is None else Step(asked.step.size, asked.step.unit, asked.step.shape_tolerance_percent),
    )


def _map_part(request: MapRequest) -> schema.MapPart:
    feel, step = request.feel, request.step
    return schema.MapPart(
        fit=request.fit,  # type: ignore[arg-type]
        hold=request.hold,  # type: ignore[arg-type]
        onto=list(request.onto),
        true_on=request.true_on or "",
        window_px=_plain(request.window_px),
        within_mm=_plain(request.within_built_mm),
        area_mm=_plain(request.area_built_mm),
        scale=None if feel is None or _is_felt_elsewhere(feel) else feel.scale_x,
        feel=schema.FeelPart(of=feel.of or None, scale_x=feel.scale_x, scale_y=feel.scale_y)
        if feel is not None and _is_felt_elsewhere(feel)
        else None,
        step=None
        if step is None
        else schema.StepPart(
            size=step.size,
            unit=step.unit,  # type: ignore[arg-type]
            shape_tolerance_percent=step.shape_tolerance_percent,
        ),
    )


def _is_felt_elsewhere(feel: Feel) -> bool:
    """Whether a feel says more than one scale factor."""
    return bool(feel.of) or feel.scale_x != feel.scale_y


def _feel(asked: schema.MapPart) -> Feel | None:
    if asked.scale is not None and asked.feel is not None:
        raise RequestError(Problem("map", "must not ask for both a scale and a feel"))
    if asked.scale is not None:
        return Feel(asked.scale, asked.scale)
    if asked.feel is not None:
        return Feel(asked.feel.scale_x, asked.feel.scale_y, asked.feel.of or "")
    return None


def _plain(rect: Rect | None) -> schema.PlainRect | None:
    if rect is None:
        return None
    return schema.PlainRect(left=rect.left, top=rect.top, width=rect.width, height=rect.height)


def _rect(part: schema.PlainRect | None) -> Rect | None:
    return None if part is None else Rect(part.left, part.top, part.width, part.height)
