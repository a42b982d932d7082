"""A band as charted beside what is seen of it: where they differ, and what an exchange of two strings makes of it.

A knot that swaps though it should not, or the reverse, exchanges two strings in all that comes after it: every later
step is made at the same pair, so it takes the one where the chart has the other. Nothing else of a wrong knot reaches
later steps. Only colours are seen, so an exchange of two strings of one colour is none.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence

from benchmate.craft.trouble.made_otherwise import Made
from benchmate.families.diagonal.trouble.tied_knot import tied_knots
from benchmate.families.diagonal.work import DiagonalWork

Exchange = tuple[int, int]
"""Two strings by their numbers, the lower first, each of which hangs where the chart has the other."""
NO_EXCHANGE: Exchange = (0, 0)
"""All strings hang in the colours of the chart."""


class Sight:
    """The tied steps of a band, numbered from 0 in the order they were tied, and what is seen of the band.

    `colours` are those of the strings by their numbers, `seen` what is seen where the chart has each of them hang, and
    `told` the colours that knots are said to show, None for no knot. Number 0 is no string: it shows no colour.
    """

    def __init__(
        self, work: DiagonalWork, tied: Sequence[int], seen: Sequence[str], shows: Mapping[int, str | None]
    ) -> None:
        self.knots = tied_knots(work, tied)
        self.knotting = [knot.knotting(knot.way) for knot in self.knots]
        """The knotting string of every knot in the chart, 0 for one that is left out."""
        hanging = work.at_start()
        for number in tied:
            work.change_places(number, hanging)
        self.colours: list[str | None] = [None, *work.strings]
        self.seen: list[str | None] = [None] * len(self.colours)
        for string, colour in zip(hanging, seen, strict=True):
            self.seen[string] = colour
        self.unlike = [string for string, colour in enumerate(self.colours) if colour != self.seen[string]]
        """The strings in whose place another colour is seen."""
        self.told = {place: shows[number] for place, number in enumerate(tied) if number in shows}
        self.first_unlike = next(iter(self._unlike(NO_EXCHANGE)), len(tied))
        """The first knot that shows another colour than charted: no wrong knot is only after it."""
        self.settled = max((place for place in self.told if self.shown_at_end(place) != self.told[place]), default=0)
        """The last knot whose colour the strings as they hang do not explain: no last wrong knot is before it."""
        self._unlike_with: dict[Exchange, list[int]] = {}

    @property
    def as_charted(self) -> bool:
        """True when the chart explains all that is seen."""
        return not self.unlike and self.first_unlike == len(self.knots)

    def exchange(self, one: int, other: int) -> Exchange:
        """The exchange of two strings as far as it can be seen."""
        if self.colours[one] == self.colours[other]:
            return NO_EXCHANGE
        return (one, other) if one < other else (other, one)

    def shown(self, place: int, exchange: Exchange) -> str | None:
        """The colour of a knot that is made as charted after such an exchange."""
        return self.colours[_exchanged(exchange, self.knotting[place])]

    def shown_at_end(self, place: int) -> str | None:
        """The colour of a knot that is made as charted when the strings are exchanged as they are seen at the end."""
        return self.seen[self.knotting[place]]

    def shown_made(self, place: int, way: Made, exchange: Exchange) -> str | None:
        """The colour of a knot that is made in such a way after such an exchange."""
        return self.colours[_exchanged(exchange, self.knots[place].knotting(way))]

    def possible(self, place: int, ways: Sequence[Made], exchange: Exchange) -> tuple[Made, ...]:
        """Those of the ways in which the knot shows the colour that it is said to show."""
        if place not in self.told:
            return tuple(ways)
        return tuple(way for way in ways if self.shown_made(place, way, exchange) == self.told[place])

    def last_unlike(self, exchange: Exchange, before: int) -> int:
        """The last knot before one that does not show its colour after such an exchange; 0 where all do."""
        if exchange not in self._unlike_with:
            self._unlike_with[exchange] = self._unlike(exchange)
        found = self._unlike_with[exchange]
        at = bisect_left(found, before)
        return found[at - 1] if at else 0

    def _unlike(self, exchange: Exchange) -> list[int]:
        return [place for place, colour in self.told.items() if self.shown(place, exchange) != colour]

    def explained_by(self, strings: Exchange = NO_EXCHANGE) -> Exchange | None:
        """The exchange that explains how the strings hang when these two are exchanged after it; None for none.

        Wherever these two hang, each is seen as the other.
        """
        one, other = strings
        seen, colours = self.seen, self.colours
        unlike = [string for string in self.unlike if string not in strings]
        unlike += [string for string, to in ((one, other), (other, one)) if colours[string] != seen[to]]
        if not unlike:
            return NO_EXCHANGE
        if len(unlike) != 2:
            return None
        first, second = sorted(unlike)
        if colours[first] != seen[_exchanged(strings, second)] or colours[second] != seen[_exchanged(strings, first)]:
            return None
        return first, second


def _exchanged(exchange: Exchange, string: int) -> int:
    one, other = exchange
    return other if string == one else one if string == other else string
