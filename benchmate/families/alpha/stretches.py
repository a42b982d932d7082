"""The stretches of a picture, and the floats between them.

A leading string that is put down waits behind its last knot, at the side that knot went to. From there it is brought
across the back to the side where its next knot begins: that is a float. What it passes counts as seen from behind.
"""

from array import array
from collections.abc import Sequence
from math import hypot
from typing import NamedTuple

from benchmate.craft.float_rules import FloatRules


class Place(NamedTuple):
    """Where a leading string waits or is wanted: a row, from 1, and a side: side 2 is between columns 2 and 3."""

    row: int
    side: int


class Float(NamedTuple):
    """A float: the columns and the rows it passes behind, and how many rows it goes up."""

    columns: int
    rows: int
    risen: int

    def length(self, rules: FloatRules) -> float:
        """The straight way, mm."""
        return hypot(self.columns * rules.wide, self.risen * rules.high)


def float_between(waits: Place, wanted: Place) -> Float:
    """The float from where a string waits to where it is wanted, in no earlier row."""
    risen = wanted.row - waits.row
    return Float(abs(wanted.side - waits.side), max(0, risen - 1), risen)


class Stretches:
    """The longest runs of knots of one colour in working order, from 0. One leading string makes each."""

    def __init__(self, colours: Sequence[int], columns: int, *, from_left: bool) -> None:
        """`colours` has a number for the colour of each knot, in working order; row 1 begins on the left or not."""
        self.columns, self._colours, self._from_left = columns, colours, from_left
        changes = (number for number in range(1, len(colours)) if colours[number] != colours[number - 1])
        self.firsts = array("l", [0, *changes])
        """The number of the first knot of each."""

    def __len__(self) -> int:
        return len(self.firsts)

    def last(self, stretch: int) -> int:
        """The number of the last knot of a stretch."""
        return (self.firsts[stretch + 1] if stretch + 1 < len(self.firsts) else len(self._colours)) - 1

    def colour(self, stretch: int) -> int:
        """The number of the colour of a stretch."""
        return self._colours[self.firsts[stretch]]

    def wanted(self, stretch: int) -> Place:
        """Where the first knot of a stretch begins."""
        return self._place(self.firsts[stretch], began=True)

    def waits(self, stretch: int) -> Place:
        """Where the string hangs after the last knot of a stretch."""
        return self._place(self.last(stretch), began=False)

    def _place(self, number: int, *, began: bool) -> Place:
        """The side at which the string hangs before a knot (`began`) or after it."""
        row, at = divmod(number, self.columns)
        to_the_right = self._from_left == (row % 2 == 0)
        along = at if began else at + 1
        return Place(row + 1, along if to_the_right else self.columns - along)
