"""An alpha band: its base strings, its leading strings, its chart, and one of its knots."""

from typing import NamedTuple

from benchmate.craft.float_rules import USUAL, FloatRules
from benchmate.craft.knots import Knot


class Alpha(NamedTuple):
    """A band of pictures or letters: leading strings knotted over base strings of one colour, one base string a column.

    `rows` are the colours of one repeat, top row first, each from the left; `first` is the side row 1 starts from.
    `leading` are the colours of the leading strings, in the order of first use; there may be several strings of each.
    `rules` are the maker's own, not the design's.
    """

    base: str
    rows: tuple[tuple[str, ...], ...]
    first: str
    leading: tuple[str, ...]
    rules: FloatRules = USUAL

    @property
    def columns(self) -> int:
        """How many knots a row has."""
        return len(self.rows[0])

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour name of each base string."""
        return (self.base,) * self.columns

    def colour_of(self, string: int) -> str:
        """The colour name of a base string (numbered by column) or of leading strings (numbered after those)."""
        return self.base if string <= self.columns else self.leading[string - self.columns - 1]


def alpha(base: str, rows: tuple[tuple[str, ...], ...], first: str = "left") -> Alpha:
    """An alpha band from its chart, which has at least one row and one column."""
    used: dict[str, None] = {}
    for number, row in enumerate(rows):
        to_the_right = (first == "left") == (number % 2 == 0)
        used |= dict.fromkeys(row if to_the_right else reversed(row))
    return Alpha(base, rows, first, tuple(used))


class AlphaKnot(NamedTuple):
    """One knot of an alpha band: a leading string over the base string of a column.

    `row` counts from 1 through all repeats, `column` from 1 from the left; `leading` is the number of the colour of its
    leading string. `AlphaWork.plan` knows which string of that colour it is. Rows worked to the right have forward
    knots, rows to the left backward knots. Of one that is `unsure` nobody knows the colour; its `leading` is 0.
    """

    row: int
    column: int
    knot: Knot
    leading: int
    unsure: bool = False

    @property
    def knotting(self) -> int:
        """The number of the knotting string, here of the leading strings of this colour."""
        return self.leading

    @property
    def passive(self) -> int:
        """The number of the base string, which is also its column."""
        return self.column
