"""What an alpha band is: its base strings under leading strings, its chart, and one knot as the maker meets it."""

from typing import NamedTuple

from benchmate.craft.knots import Knot


class Alpha(NamedTuple):
    """A band of pictures or letters: base strings of one colour, one for every column, under leading strings.

    `rows` are one repeat's colours, top row first, each from the left; `first` is the side from which row 1 is worked.
    `leading` are the colours of the leading strings, in the order in which they are first needed.
    """

    base: str
    rows: tuple[tuple[str, ...], ...]
    first: str
    leading: tuple[str, ...]

    @property
    def columns(self) -> int:
        """How many knots a row has."""
        return len(self.rows[0])

    @property
    def strings(self) -> tuple[str, ...]:
        """The base strings' colour, as often as there are base strings."""
        return (self.base,) * self.columns

    def colour_of(self, string: int) -> str:
        """The colour name of a base string, by its column, or of a leading string, which are numbered after those."""
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
