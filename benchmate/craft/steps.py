"""A step as the maker meets it: a knot to tie, a strand to move, or an instruction to follow."""

from typing import NamedTuple

from benchmate.craft.design import Drawing
from benchmate.craft.knots import Knot


class Tie(NamedTuple):
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


class Led(NamedTuple):
    """One knot of an alpha band: a leading string over the base string of a column.

    `row` counts from 1 through all repeats, `column` from 1 from the left; `leading` is the number of the leading
    string. A row is worked to the right in forward knots, or to the left in backward knots.
    """

    row: int
    column: int
    knot: Knot
    leading: int

    @property
    def knotting(self) -> int:
        """The number of the leading string, which makes the knot."""
        return self.leading

    @property
    def passive(self) -> int:
        """The number of the base string, which is its column."""
        return self.column


class Move(NamedTuple):
    """One move of a braid: the strand that starts the braid in slot `strand` goes from one slot to another.

    `row` is the repeat it belongs to, from 1.
    """

    row: int
    source: int
    target: int
    strand: int


class Told(NamedTuple):
    """One instruction in words: the `time`-th of `of` times it is done. `row` is the repeat it belongs to, from 1.

    `draw` is the drawing that goes with it, or None.
    """

    row: int
    do: str
    hint: str | None
    time: int
    of: int
    draw: Drawing | None = None


Step = Tie | Led | Move | Told


def place_of(step: Step) -> int:
    """The position across the band: of a knot's left string, or its column; 0 for what is no knot."""
    if isinstance(step, Led):
        return step.column
    return step.left if isinstance(step, Tie) else 0
