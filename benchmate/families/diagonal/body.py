"""What a diagonal band is: its strings, its rows of knots, and one knot as the maker meets it."""

from typing import NamedTuple

from benchmate.craft.knots import Knot


class Row(NamedTuple):
    """A row of a diagonal band: the position (from 1) of its first pair, and a knot or None for each pair that fits."""

    start: int
    knots: tuple[Knot | None, ...]


class Diagonal(NamedTuple):
    """A diagonal band: colour names of the strings, left to right as they hang at the start, and one repeat's rows."""

    strings: tuple[str, ...]
    rows: tuple[Row, ...]

    def colour_of(self, string: int) -> str:
        """The colour name of a string, which keeps the number of the position it started from."""
        return self.strings[string - 1]


class DiagonalKnot(NamedTuple):
    """One knot of a diagonal band.

    `row` counts from 1 through all repeats. `left` is the position, from 1, of the pair's left string; `left_string`
    and `right_string` are string numbers, and a string keeps the number of the position it started from.
    """

    row: int
    left: int
    knot: Knot
    left_string: int
    right_string: int

    @property
    def pair(self) -> tuple[int, int]:
        """The two positions, from 1."""
        return (self.left, self.left + 1)

    @property
    def knotting(self) -> int:
        """The number of the string that makes the knot."""
        return self.left_string if self.knot.from_left else self.right_string

    @property
    def passive(self) -> int:
        """The number of the string that is knotted over."""
        return self.right_string if self.knot.from_left else self.left_string

    @property
    def knotting_from(self) -> int:
        """The position of the knotting string before the knot."""
        return self.left if self.knot.from_left else self.left + 1

    @property
    def passive_from(self) -> int:
        """The position of the passive string before the knot."""
        return self.left + 1 if self.knot.from_left else self.left

    @property
    def knotting_to(self) -> int:
        """The position of the knotting string afterwards."""
        return self.passive_from if self.knot.swaps else self.knotting_from

    @property
    def passive_to(self) -> int:
        """The position of the passive string afterwards."""
        return self.knotting_from if self.knot.swaps else self.passive_from


def pairs_that_fit(strings: int, start: int) -> int:
    """How many pairs of neighbours fit in a row of `strings` strings whose first pair begins at position `start`."""
    return max(0, (strings - start + 1) // 2)


def usual_start(row: int) -> int:
    """The position at which row `row` (from 1, within one repeat) begins when it says nothing else."""
    return 1 if row % 2 else 2
