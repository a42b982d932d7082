"""An alpha band, unrolled knot by knot, back and forth."""

from array import array
from collections.abc import Collection, Sequence
from copy import copy
from functools import cached_property
from typing import TYPE_CHECKING

from benchmate.craft.knots import Knot
from benchmate.craft.steps_in_doubt import InDoubt
from benchmate.craft.work import Links, RowSpan, Work, distinct, links
from benchmate.families.alpha.body import Alpha, AlphaKnot

if TYPE_CHECKING:
    from benchmate.families.alpha.plan import LeadingPlan


class AlphaWork(Work):
    """The knots of an alpha band in working order: row 1 from its side, each further row the other way.

    A base string has the number of its column; the leading strings are numbered after the base strings. Two knots
    depend on each other only when they share a column or a leading string.
    """

    def __init__(self, body: Alpha, repeats: int) -> None:
        self.strings = body.strings
        self.rows = len(body.rows) * repeats
        self._columns = body.columns
        self._from_left = body.first == "left"
        self._rules = body.rules
        self._leading = array("H")
        self._colours = body.leading
        number_of = {name: len(self.strings) + at for at, name in enumerate(body.leading, 1)}
        rows = [array("H", map(number_of.__getitem__, row)) for row in body.rows]
        for row in range(self.rows):
            leading = rows[row % len(rows)]
            self._leading += leading if self._to_the_right(row + 1) else leading[::-1]
        self.size = len(self._leading)
        self._resources = len(self.strings) + len(body.leading)

    @property
    def resource_count(self) -> int:
        """The base strings and the leading strings."""
        return self._resources

    def _to_the_right(self, row: int) -> bool:
        return self._from_left == (row % 2 == 1)

    def step(self, number: int) -> AlphaKnot:
        """The knot itself."""
        row = self.row_of(number)
        knot = Knot.FORWARD if self._to_the_right(row) else Knot.BACKWARD
        return AlphaKnot(row, self.passive(number), knot, self.knotting(number))

    def row_of(self, number: int) -> int:
        """The row of a knot, from 1, through all repeats."""
        return number // self._columns + 1

    def span(self, row: int) -> RowSpan:
        """The knots of a row."""
        return RowSpan((row - 1) * self._columns, row * self._columns)

    def swapped_at(self, number: int) -> int:
        """Always 0: base strings never swap."""
        return 0

    def knotting(self, number: int) -> int:
        """The number of the leading string."""
        if number < 0:
            raise IndexError(number)
        return self._leading[number]

    def colour(self, number: int) -> str:
        """The colour name of a knot, which is that of its leading string."""
        return self._colours[self.knotting(number) - len(self.strings) - 1]

    @property
    def string_colours(self) -> Sequence[str]:
        """The colour names of the base strings and of the leading strings, each once."""
        return tuple(dict.fromkeys((self.strings[0], *self._colours)))

    def has_string_in(self, colour: str) -> bool:
        """Whether a leading string or the base strings have a colour, so that a knot can show it."""
        return colour in self.string_colours

    def in_colour(self, number: int, colour: str) -> "AlphaWork":
        """The same knots, one of them in another colour of the design: to draw what was made.

        That is a leading string's, or the colour of the base strings, of which any one stands for all.
        """
        if not self.has_string_in(colour):
            raise ValueError(f"no string is {colour}")
        made = copy(self)
        made._leading = self._leading[:]
        leading = self._colours.index(colour) + len(self.strings) + 1 if colour in self._colours else 1
        made._leading[number] = leading
        for planned in ("plan", "_links"):
            made.__dict__.pop(planned, None)
        return made

    def run_key(self, number: int) -> int:
        """The leading string and the row: at the end of a row the hands turn."""
        return self.knotting(number) + self.row_of(number) * (self._resources + 1)

    def fewest_pickups(self) -> int:
        """The number of pick-ups in the only order, that of the chart."""
        return sum(here != before for here, before in zip(self._leading, [0, *self._leading], strict=False))

    def passive(self, number: int) -> int:
        """The number of the base string, which is also its column."""
        row, at = divmod(number, self._columns)
        return at + 1 if self._to_the_right(row + 1) else self._columns - at

    def rests_on(self, number: int) -> tuple[int, ...]:
        """The last knots before this one in its column and with its leading string; lowest first, each once."""
        below_column, below_leading, _, _ = self._links
        return distinct(below_column[number], below_leading[number])

    def carries(self, number: int) -> tuple[int, ...]:
        """The next knots after this one in its column and with its leading string; lowest first, each once."""
        _, _, above_column, above_leading = self._links
        return distinct(above_column[number], above_leading[number])

    @cached_property
    def plan(self) -> "LeadingPlan":
        """Which leading string makes which knots."""
        # Imported here: a command that only counts steps does not plan.
        from benchmate.families.alpha.plan import LeadingPlan
        from benchmate.families.alpha.stretches import Stretches

        found = Stretches(self._leading, self._columns, from_left=self._from_left)
        return LeadingPlan(found, self._rules)

    def in_doubt(self, doubted: Collection[int]) -> "AlphaWork":
        """The same knots, of which some may have other colours than charted."""
        return PictureInDoubt(self, doubted)

    @cached_property
    def _links(self) -> Links:
        return links(array("H", map(self.passive, range(self.size))), self._leading, self._resources)


class PictureInDoubt(InDoubt, AlphaWork):
    """The knots of a picture, of some of which only the places are known; the colours of the others stay certain."""

    def step(self, number: int) -> AlphaKnot:
        """The knot as far as it is certain."""
        return super().step(number)._replace(unsure=number in self._doubted)

    def knotting(self, number: int) -> int:
        """The number of the leading string; 0 where that is not certain."""
        return 0 if number in self._doubted else super().knotting(number)

    def colour_in_doubt(self, number: int) -> bool:
        """True of a knot in doubt."""
        return number in self._doubted
