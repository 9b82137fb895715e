"""Rectangles whose edges are whole multiples of a step."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.rounding.lattice import Sides, best_sides, nearest_start, pareto_front, whole_range
from mapper.units import as_typed

# The search is quick for any number of steps, but a billion a side is a slip of the keyboard.
MOST_STEPS = 10**9


@dataclass(frozen=True, slots=True)
class Grid:
    """The whole multiples of a step that lie within a rectangle, along x and along y.

    ``step_x`` and ``step_y`` are in the rectangle's unit; ``first`` and ``last`` count multiples
    from 0; ``rect`` is the rectangle itself: left, top, width and height.
    """

    rect: tuple[Fraction, Fraction, Fraction, Fraction]
    step_x: Fraction
    step_y: Fraction
    first_x: int
    last_x: int
    first_y: int
    last_y: int

    @classmethod
    def within(cls, rect: Rect, step_x: Fraction, step_y: Fraction, must: Problem) -> Grid:
        """The multiples inside ``rect``, edges included.

        Raises RequestError with ``must`` where not one step fits.
        """
        left, top, width, height = exact_rect(rect)
        first_x, last_x = whole_range(left, left + width, step_x)
        first_y, last_y = whole_range(top, top + height, step_y)
        if last_x <= first_x or last_y <= first_y:
            raise RequestError(must)
        if max(last_x, last_y) > MOST_STEPS:
            raise RequestError(
                Problem(
                    "step",
                    phrase(
                        "must be larger: more than {most_steps} of them fit a side",
                        most_steps=MOST_STEPS,
                    ),
                )
            )
        return cls((left, top, width, height), step_x, step_y, first_x, last_x, first_y, last_y)

    @property
    def most(self) -> Sides:
        """How many steps fit across and down."""
        return self.last_x - self.first_x, self.last_y - self.first_y

    def at_most(self, rect: Rect) -> Sides:
        """How many steps fit across and down within the size of ``rect``; at least one."""
        _, _, width, height = exact_rect(rect)
        _, across = whole_range(Fraction(0), width, self.step_x)
        _, down = whole_range(Fraction(0), height, self.step_y)
        return max(1, min(across, self.most[0])), max(1, min(down, self.most[1]))

    def true_ratio(self, width: Fraction, height: Fraction) -> Fraction:
        """Steps across over steps down of a rectangle with these proportions."""
        return width / height * self.step_y / self.step_x

    def best(self, most: Sides, width: Fraction, height: Fraction, most_stretch: Fraction) -> Sides:
        """The best rectangle of at most ``most`` steps, by the rule of ``best_sides``.

        ``width`` to ``height`` are the true proportions.
        """
        return best_sides(*most, self.true_ratio(width, height), most_stretch)

    def pareto_front(self, most: Sides, width: Fraction, height: Fraction) -> list[Sides]:
        """All sides of at most ``most`` steps that no others beat both in size and in stretch.

        ``width`` to ``height`` are the true proportions.
        """
        return pareto_front(*most, self.true_ratio(width, height))

    def place(self, sides: Sides, across: float, down: float) -> Rect:
        """A rectangle of these ``sides`` on the grid, as near to its place in ``rect`` as can be.

        ``across`` and ``down`` are the shares of the spare length that are to lie left of it and
        above it: 0, 0.5 or 1. Decided in fractions, so that halfway between two steps it is always
        the lower one that is taken.
        """
        width, height = sides[0] * self.step_x, sides[1] * self.step_y
        wanted_x = self.rect[0] + (self.rect[2] - width) * Fraction(across)
        wanted_y = self.rect[1] + (self.rect[3] - height) * Fraction(down)
        left = (
            nearest_start(self.first_x, self.last_x, sides[0], wanted_x / self.step_x) * self.step_x
        )
        top = (
            nearest_start(self.first_y, self.last_y, sides[1], wanted_y / self.step_y) * self.step_y
        )
        return Rect(float(left), float(top), float(width), float(height))


def exact_rect(rect: Rect) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    """Left, top, width and height as the decimals that a person would read."""
    return as_typed(rect.left), as_typed(rect.top), as_typed(rect.width), as_typed(rect.height)
