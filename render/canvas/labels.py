"""Labels that find their own places, beside what they name and never over one another.

Each possible place has a cost: lying over a body costs, and so does being far away, where a thin
leader shows the way. The cheapest place wins. No leader runs through a label.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mapper.rect import Rect
from render.canvas.lettering import CAP, DESCENT, width_mm
from render.canvas.theme import style

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from render.canvas.scene import Easel

Box = tuple[float, float, float, float]

# Air around a label, the distance from which it needs a leader, and the steps in which a place is
# sought.
_AIR_MM = 0.8
_LEADER_MM = 3.0
_RINGS_MM = (1.6, 3.0, 5.0, 8.0, 12.0, 17.0, 23.0)
_DIRECTIONS = 16
_SWEEP_MM = 4.0


def _overlap(one: Box, other: Box) -> float:
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return across * down if across > 0 and down > 0 else 0.0


def _nearest(box: Box, point: tuple[float, float]) -> tuple[float, float]:
    """The point of a box that is nearest to one outside it."""
    return min(max(point[0], box[0]), box[2]), min(max(point[1], box[1]), box[3])


def _crosses(start: tuple[float, float], end: tuple[float, float], box: Box) -> bool:
    """Whether a segment meets a box, by clipping it (Liang and Barsky)."""
    (x, y), (dx, dy) = start, (end[0] - start[0], end[1] - start[1])
    first, last = 0.0, 1.0
    for along, room in ((-dx, x - box[0]), (dx, box[2] - x), (-dy, y - box[1]), (dy, box[3] - y)):
        if along == 0:
            if room < 0:
                return False
            continue
        at = room / along
        if along < 0:
            first = max(first, at)
        else:
            last = min(last, at)
        if first > last:
            return False
    return True


class Labels:
    """Places labels on one easel, one after the other; the first have the best places."""

    def __init__(self, easel: Easel, room: Rect, bodies: Sequence[Rect] = ()) -> None:
        self.easel = easel
        self.room: Box = (room.left, room.top, room.right, room.bottom)
        self.bodies: list[Box] = [(body.left, body.top, body.right, body.bottom) for body in bodies]
        self.taken: list[Box] = []
        self.leaders: list[tuple[tuple[float, float], tuple[float, float]]] = []

    def keep_free(self, box: Box) -> None:
        """Keep later labels off ``box``, where something is written already."""
        self.taken.append(box)

    def place(
        self,
        texts: Sequence[str],
        at_mm: tuple[float, float],
        role: str,
        *,
        wishes: Sequence[tuple[float, float, str]] = (),
        inside: Rect | None = None,
    ) -> bool:
        """Write the longest of ``texts`` that has a good place near ``at_mm``; False if none does.

        ``wishes`` are places to try first, in order: x and y of the base line's start, middle or
        end, and which of the three. They must lie beside all bodies, or wholly inside ``inside``.
        """
        em = style(role).em_mm
        for text in texts:
            for x, y, anchor in wishes:
                box = self._box(text, em, x, y, anchor)
                if self._is_free(box) and self._is_clear(box, inside):
                    self._write(text, role, (x, y, anchor), box)
                    return True
        text = texts[-1]
        found = self._search(text, em, at_mm)
        if found is None:
            return False
        x, y, box = found
        nearest = _nearest(box, at_mm)
        if math.dist(nearest, at_mm) > _LEADER_MM:
            self.easel.line([at_mm, nearest], "leader")
            self.leaders.append((at_mm, nearest))
        self._write(text, role, (x, y, "start"), box)
        return True

    def place_with_leader(
        self, text: str, from_mm: tuple[float, float], role: str, wish: tuple[float, float, str]
    ) -> bool:
        """Write ``text`` at ``wish`` with a leader from ``from_mm``; False if that is taken."""
        x, y, anchor = wish
        box = self._box(text, style(role).em_mm, x, y, anchor)
        nearest = _nearest(box, from_mm)
        if not self._is_free(box) or any(_overlap(box, body) for body in self.bodies):
            return False
        if any(_crosses(from_mm, nearest, other) for other in self.taken):
            return False
        self.easel.line([from_mm, nearest], "leader")
        self.leaders.append((from_mm, nearest))
        self._write(text, role, (x, y, anchor), box)
        return True

    def _write(self, text: str, role: str, place: tuple[float, float, str], box: Box) -> None:
        x, y, anchor = place
        if role == "chip":
            # On a ground of its own, so that no hatching runs through it.
            self.easel.rect(Rect(box[0], box[1], box[2] - box[0], box[3] - box[1]), "chip-ground")
        self.easel.text(text, x, y, role, anchor=anchor)
        self.taken.append(box)

    def _box(self, text: str, em: float, x: float, y: float, anchor: str) -> Box:
        wide = width_mm(text, em, bold=False) * 1.12
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        return (
            left - _AIR_MM,
            y - CAP * em - _AIR_MM,
            left + wide + _AIR_MM,
            y + DESCENT * em + _AIR_MM,
        )

    def _is_free(self, box: Box) -> bool:
        left, top, right, bottom = self.room
        if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
            return False
        if any(_overlap(box, other) for other in self.taken):
            return False
        return not any(_crosses(*leader, box) for leader in self.leaders)

    def _is_clear(self, box: Box, inside: Rect | None) -> bool:
        """Whether a box crosses no edge of a body: it lies beside all, or wholly in ``inside``."""
        if inside is not None and inside.holds(
            Rect(box[0], box[1], box[2] - box[0], box[3] - box[1])
        ):
            return True
        return not any(_overlap(box, body) for body in self.bodies)

    def _search(
        self, text: str, em: float, at_mm: tuple[float, float]
    ) -> tuple[float, float, Box] | None:
        best: tuple[float, float, float, Box] | None = None
        for x, y in self._candidates(text, em, at_mm):
            box = self._box(text, em, x, y, "start")
            if not self._is_free(box):
                continue
            nearest = _nearest(box, at_mm)
            if any(_crosses(at_mm, nearest, other) for other in self.taken):
                continue
            away = math.dist(nearest, at_mm)
            if best is not None and away > best[0] + _SWEEP_MM:
                # The candidates go outwards: nothing further away is better.
                break
            cost = away + 3.0 * sum(_overlap(box, body) for body in self.bodies)
            if best is None or cost < best[0]:
                best = cost, x, y, box
        return None if best is None else best[1:]

    def _candidates(
        self, text: str, em: float, at_mm: tuple[float, float]
    ) -> Iterator[tuple[float, float]]:
        """Places around a point on growing rings, then all over the sheet, the nearest first."""
        wide, high = width_mm(text, em), CAP * em
        for away in _RINGS_MM:
            for step in range(_DIRECTIONS):
                angle = 2 * math.pi * step / _DIRECTIONS
                cos, sin = math.cos(angle), math.sin(angle)
                # The box touches the ring with the side that looks towards the point.
                middle_x = at_mm[0] + cos * (away + wide / 2)
                middle_y = at_mm[1] + sin * (away + high / 2)
                yield middle_x - wide / 2, middle_y + high / 2
        left, top, right, bottom = self.room
        across, down = int((right - left) / _SWEEP_MM) + 1, int((bottom - top) / _SWEEP_MM) + 1
        everywhere = [
            (left + _SWEEP_MM * i, top + _SWEEP_MM * j) for i in range(across) for j in range(down)
        ]
        yield from sorted(everywhere, key=lambda point: math.dist(point, at_mm))
