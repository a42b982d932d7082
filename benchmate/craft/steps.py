"""A step as the maker meets it: a knot to tie, or an instruction to follow."""

from typing import NamedTuple

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


class Told(NamedTuple):
    """One instruction in words: the `time`-th of `of` times it is done. `row` is the repeat it belongs to, from 1."""

    row: int
    do: str
    hint: str | None
    time: int
    of: int


Step = Tie | Told
