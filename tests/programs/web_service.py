"""A small web service: /map?tablet=240x152&display=2560x1440&diagonal_mm=685.8 answers as JSON.

``/map.svg`` with the same answers with the picture.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

from evenstroke import (
    Desktop,
    Display,
    EvenstrokeError,
    MapRequest,
    Tablet,
    TabletMap,
    solve,
    to_plain,
    to_svg,
)

if TYPE_CHECKING:
    from collections.abc import Iterable
    from wsgiref.types import StartResponse, WSGIEnvironment


def asked(query: str) -> TabletMap:
    """The map that a query asks for. Raises RequestError, a ValueError, or KeyError."""
    said = {name: values[0] for name, values in parse_qs(query, strict_parsing=True).items()}
    width_mm, height_mm = (float(side) for side in said["tablet"].split("x"))
    width_px, height_px = (int(side) for side in said["display"].split("x"))
    diagonal_mm = float(said["diagonal_mm"]) if "diagonal_mm" in said else None
    display = Display(width_px, height_px, diagonal_mm=diagonal_mm)
    return solve(MapRequest(Tablet(width_mm, height_mm), Desktop((display,))))


def app(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
    """Answer one request."""
    try:
        solved = asked(environ.get("QUERY_STRING", ""))
    except EvenstrokeError as error:
        wrong = [{"where": each.where, "must": each.must} for each in error.problems]
        return reply(start_response, "400 Bad Request", json.dumps({"wrong": wrong}))
    except (KeyError, ValueError) as error:
        return reply(start_response, "400 Bad Request", json.dumps({"wrong": str(error)}))
    if environ["PATH_INFO"].endswith(".svg"):
        return reply(start_response, "200 OK", to_svg(solved), "image/svg+xml")
    return reply(start_response, "200 OK", json.dumps(to_plain(solved)))


def reply(
    start_response: StartResponse, status: str, body: str, kind: str = "application/json"
) -> Iterable[bytes]:
    """An answer with its head."""
    start_response(status, [("Content-Type", f"{kind}; charset=utf-8")])
    return [body.encode()]
