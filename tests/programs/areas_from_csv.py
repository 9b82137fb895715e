"""The area for each desk of a CSV, as another CSV: areas_from_csv.py DESKS.csv AREAS.csv."""

from __future__ import annotations

import csv
import sys
from pathlib import Path

from evenstroke import Desktop, Display, MapRequest, RequestError, Step, Tablet, solve

COLUMNS = ["desk", "left_mm", "top_mm", "width_mm", "height_mm", "scale_factor", "wrong"]


def row_of(desk: dict[str, str]) -> dict[str, object]:
    """The row of one desk: its rectangle, or what is wrong with it."""
    try:
        tablet = Tablet(float(desk["tablet_width_mm"]), float(desk["tablet_height_mm"]))
        display = Display(
            int(desk["width_px"]), int(desk["height_px"]), diagonal_mm=float(desk["diagonal_mm"])
        )
        solved = solve(MapRequest(tablet, Desktop((display,)), step=Step(0.5, "mm")))
    except RequestError as error:
        return {"desk": desk["desk"], "wrong": "; ".join(map(str, error.problems))}
    area, scale = solved.forms["mm"], solved.summary.scale_factor
    return {
        "desk": desk["desk"],
        "left_mm": area.left,
        "top_mm": area.top,
        "width_mm": area.width,
        "height_mm": area.height,
        "scale_factor": None if scale is None else round(scale, 3),
    }


def main(desks: str, areas: str) -> None:
    """Read the one file and write the other."""
    with Path(desks).open(newline="", encoding="utf-8") as read:
        rows = [row_of(desk) for desk in csv.DictReader(read)]
    with Path(areas).open("w", newline="", encoding="utf-8") as written:
        writer = csv.DictWriter(written, COLUMNS)
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main(*sys.argv[1:])
