"""The knots of a diagonal band that are still open, as the planning of their order needs them.

Knots share a string exactly when they lie at the same pair of positions or at neighbouring pairs and nothing is tied
there in between. So a knot can be tied as soon as it is the first open one at its own pair and comes before the first
open ones at the pairs beside it; no string has to be followed to see that.
"""

from collections.abc import Collection, Sequence
from typing import Protocol


class Knots(Protocol):
    """The knots of an unrolled band, as far as planning needs to know them."""

    strings: tuple[str, ...]
    rows: int
    size: int

    def left(self, number: int) -> int:
        """The position, from 1, of the left string of the pair."""

    def from_left(self, number: int) -> bool:
        """True when the left string of the pair makes the knot."""

    def knotting(self, number: int) -> int:
        """The number of the knotting string."""

    def passive(self, number: int) -> int:
        """The number of the passive string."""

    def row_of(self, number: int) -> int:
        """The row, from 1."""


class OpenKnots:
    """The open knots, numbered anew from 0 in the order of the chart, which is one in which they can be tied.

    A pair is called by its left position, 1 to `strings` - 1. For every knot: `number`, the step it is; `pair`; `row`;
    `maker` and `passive`, the numbers of its strings; `picked_at`, the position at which its knotting string hangs
    before it; `above`, the next open knot at the same pair. `first[p]` is the first open knot at the pair p, with an
    entry without a knot at either end. Where there is no knot, `size` stands for it: more than every knot, in a row
    beyond the last.

    With `from_right`, positions count from the right, as for someone who works from that side.
    """

    def __init__(self, band: Knots, tied: Collection[int] = (), *, from_right: bool = False) -> None:
        """`tied` are steps of `band`; with each of them everything it rests on must be in it."""
        self.strings = strings = len(band.strings)
        done = frozenset(tied)
        self.number = [number for number in range(band.size) if number not in done] if done else range(band.size)
        self.size = size = len(self.number)
        self.pair: list[int] = [band.left(number) for number in self.number]
        self.knotting = [band.knotting(number) for number in self.number]
        self.passive = [band.passive(number) for number in self.number]
        self.picked_at = [
            left + (not from_left) for left, from_left in zip(self.pair, map(band.from_left, self.number), strict=True)
        ]
        if from_right:
            self.pair = [strings - pair for pair in self.pair]
            self.picked_at = [strings + 1 - position for position in self.picked_at]
        self.row = [band.row_of(number) for number in self.number]
        self.row.append(band.rows + 1)
        self.above = [size] * size
        self.first = [size] * (strings + 1)
        for knot in range(size - 1, -1, -1):
            pair = self.pair[knot]
            self.above[knot] = self.first[pair]
            self.first[pair] = knot

    def ranks(self, *, from_left: bool) -> Sequence[int]:
        """The place (from 0) of every knot when always the leftmost knot that can be tied comes next, or the rightmost.

        One knot comes before another in every order exactly when it does in these two. For let neither have to come
        before the other. Then one is left of the other, all that has to come before it and not before the other is left
        of the other too, and something of that can be tied for as long as it is not; so from the left it comes first,
        and from the right the other. (These are the two orders of a planar lattice: Kameda 1975, from memory.)
        """
        first, above = list(self.first), self.above
        rank = [0] * self.size
        last = self.strings - 1
        onward, pair = (1, 1) if from_left else (-1, last)
        for place in range(self.size):
            while not first[pair - 1] > (knot := first[pair]) < first[pair + 1]:
                pair += onward
            rank[knot] = place
            first[pair] = above[knot]
            # What this frees lies at most one pair back.
            if 1 <= pair - onward <= last:
                pair -= onward
        return rank
