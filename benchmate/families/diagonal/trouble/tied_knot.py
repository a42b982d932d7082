"""A tied knot as charted, and the other ways in which it can have been made."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made, swaps
from benchmate.families.diagonal.work import DiagonalWork

_FROM_LEFT = {way: way.from_left for way in Knot}
OTHER_WAYS = {way: tuple(other for other in EVERY_KIND if other is not way) for way in EVERY_KIND}
"""For every way to make a knot, the other ways."""
SAME_SIDES = {way: tuple(other for other in others if swaps(other) == swaps(way)) for way, others in OTHER_WAYS.items()}
"""For every way to make a knot, the other ways that leave its two strings as it does."""
OTHER_SIDES = {
    way: tuple(other for other in others if swaps(other) != swaps(way)) for way, others in OTHER_WAYS.items()
}
"""For every way to make a knot, the ways that leave its two strings the other way round."""


class TiedKnot(NamedTuple):
    """How a step is made in the chart, and the strings that hang at its pair."""

    way: Made
    left: int
    right: int

    def knotting(self, way: Made) -> int:
        """The number of the knotting string when the knot is made in such a way, 0 where it is left out."""
        return 0 if way is None else self.left if _FROM_LEFT[way] else self.right


def tied_knots(work: DiagonalWork, steps: Sequence[int]) -> list[TiedKnot]:
    """The knots of these steps."""
    return [TiedKnot(work.how_made(number), *work.takes(number)) for number in steps]
