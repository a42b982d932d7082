"""A diagonal band: its strings, its rows of knots, and one of its knots."""

from typing import NamedTuple

from benchmate.craft.knots import Knot


class Row(NamedTuple):
    """A row of a diagonal band: the position (from 1) of its first pair, and a knot or None for each pair that fits."""

    start: int
    knots: tuple[Knot | None, ...]


class Diagonal(NamedTuple):
    """A diagonal band: the colour names of its strings, left to right at the start, and the rows of one repeat."""

    strings: tuple[str, ...]
    rows: tuple[Row, ...]

    def colour_of(self, string: int) -> str:
        """The colour name of a string; a string keeps the number of its first position."""
        return self.strings[string - 1]


class DiagonalKnot(NamedTuple):
    """One knot of a diagonal band.

    `row` counts from 1 through all repeats. `left` is the position, from 1, of the pair's left string; `left_string`
    and `right_string` are string numbers; a string keeps the number of its first position, and 0 is one that is not
    known. `knot` is None where it is left out, and where it is `unsure` how it was made; then no string knots or is
    knotted over, and its position is 0.
    """

    row: int
    left: int
    knot: Knot | None
    left_string: int
    right_string: int
    unsure: bool = False

    @property
    def pair(self) -> tuple[int, int]:
        """The two positions, from 1."""
        return (self.left, self.left + 1)

    @property
    def knotting(self) -> int:
        """The number of the knotting string; 0 where the knot is left out."""
        return 0 if self.knot is None else self.left_string if self.knot.from_left else self.right_string

    @property
    def passive(self) -> int:
        """The number of the passive string; 0 where the knot is left out."""
        return 0 if self.knot is None else self.right_string if self.knot.from_left else self.left_string

    @property
    def knotting_from(self) -> int:
        """The position of the knotting string before the knot."""
        return 0 if self.knot is None else self.left if self.knot.from_left else self.left + 1

    @property
    def passive_from(self) -> int:
        """The position of the passive string before the knot."""
        return 0 if self.knot is None else self.left + 1 if self.knot.from_left else self.left

    @property
    def knotting_to(self) -> int:
        """The position of the knotting string after the knot."""
        return self.passive_from if self._swaps else self.knotting_from

    @property
    def passive_to(self) -> int:
        """The position of the passive string after the knot."""
        return self.knotting_from if self._swaps else self.passive_from

    @property
    def _swaps(self) -> bool:
        return self.knot is not None and self.knot.swaps


def pairs_that_fit(strings: int, start: int) -> int:
    """How many pairs of neighbours fit in a row of `strings` strings that starts at position `start`."""
    return max(0, (strings - start + 1) // 2)


def usual_start(row: int) -> int:
    """The start of row `row` (from 1, within one repeat) when the row gives none."""
    return 1 if row % 2 else 2
