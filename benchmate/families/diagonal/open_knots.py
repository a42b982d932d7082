"""The open knots of a diagonal band, in the form that planning their order needs.

Knots share a string exactly when they lie at the same pair of positions, or at neighbouring pairs, with no knot there
in between. So a knot can be tied as soon as it is the first open one at its pair and comes before the first open ones
at the pairs beside it. This needs no tracing of strings.
"""

from collections.abc import Collection, Sequence
from typing import Protocol


class Knots(Protocol):
    """The part of an unrolled band that planning needs."""

    strings: tuple[str, ...]
    rows: int
    size: int

    def left(self, number: int) -> int:
        """The position, from 1, of the left string of the pair."""

    def from_left(self, number: int) -> bool:
        """True when the left string of the pair makes the knot."""

    def takes(self, number: int) -> tuple[int, int]:
        """The numbers of the left and the right string."""

    def row_of(self, number: int) -> int:
        """The row, from 1."""


class OpenKnots:
    """The open knots, with numbers of their own from 0, in the order of the chart, in which they can be tied.

    A pair has the number of its left position, 1 to `strings` - 1. For every knot: `number`, its step; `pair`; `row`;
    `knotting` and `passive`, its strings (of a knot left out the left one and the right one); `picked_at`, the position
    of its knotting string before the knot; `above`, the next open knot at the same pair. `first[p]` is the first open
    knot at pair p, with an empty entry at each end. `size` stands for "no knot": a number above every knot, in a row
    beyond the last.

    With `from_right`, positions count from the right, for someone who works from that side.
    """

    def __init__(self, band: Knots, tied: Collection[int] = (), *, from_right: bool = False) -> None:
        """`tied` are steps of `band`, including everything that each of them rests on."""
        self.strings = strings = len(band.strings)
        done = frozenset(tied)
        self.number = [number for number in range(band.size) if number not in done] if done else range(band.size)
        self.size = size = len(self.number)
        self.pair: list[int] = [band.left(number) for number in self.number]
        makes_left = [*map(band.from_left, self.number)]
        taken = zip(makes_left, map(band.takes, self.number), strict=True)
        both = [(left, right) if from_left else (right, left) for from_left, (left, right) in taken]
        self.knotting: list[int] = [knotting for knotting, _ in both]
        self.passive: list[int] = [passive for _, passive in both]
        self.picked_at = [left + (not from_left) for left, from_left in zip(self.pair, makes_left, strict=True)]
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
        """The place (from 0) of every knot in the order that always ties the leftmost ready knot, or the rightmost.

        One knot comes before another in every order exactly when it does in these two. Proof: suppose neither must come
        before the other. Then one is left of the other, and so is everything that must come before it but not before
        the other. Until it is tied, some of that is ready. So from the left it comes first, and from the right the
        other does. (These are the two orders of a planar lattice: Kameda 1975, from memory.)
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
            # A knot that becomes ready now lies at most one pair back.
            if 1 <= pair - onward <= last:
                pair -= onward
        return rank
