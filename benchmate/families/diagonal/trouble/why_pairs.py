"""The pairs of wrong knots that explain what is seen.

The second of two wrong knots alone decides what the first must have exchanged: at most one exchange of two strings
leads to what is seen. Where knots are said to show colours, the first one must also lie between two of these. So the
first knots that fit a second one are neighbours in a list, and pairs are counted without looking at each of them.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from heapq import heapify, heappop, heapreplace
from typing import NamedTuple

from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made
from benchmate.craft.trouble.trouble import PAIRS_AMONG
from benchmate.craft.work import ReportProgress
from benchmate.families.diagonal.trouble.tied_knot import OTHER_SIDES, OTHER_WAYS, SAME_SIDES
from benchmate.families.diagonal.trouble.why_sight import NO_EXCHANGE, Exchange, Sight

REPORTED = 250
"""Progress is reported after so many steps."""


class Pair(NamedTuple):
    """Two wrong knots by their places, the earlier first, with each way that is part of some explanation."""

    first: int
    first_made: tuple[Made, ...]
    second: int
    second_made: tuple[Made, ...]


class Firsts:
    """The knots that can make one exchange as the first of two, in the order of work, each with the ways to make it."""

    def __init__(self) -> None:
        self.places: list[int] = []
        self.ways: list[tuple[Made, ...]] = []
        self._ways_before = [0]

    def add(self, place: int, ways: tuple[Made, ...]) -> None:
        """Adds a knot that is later than all so far."""
        self.places.append(place)
        self.ways.append(ways)
        self._ways_before.append(self._ways_before[-1] + len(ways))

    def between(self, low: int, high: int) -> tuple[int, int]:
        """The part of the list from place `low` to place `high`: its first index, and the one after its last."""
        begin = bisect_left(self.places, low)
        return begin, max(begin, bisect_right(self.places, high))

    def ways_in(self, begin: int, end: int) -> int:
        """How many ways there are in a part of the list."""
        return self._ways_before[end] - self._ways_before[begin]


class Match(NamedTuple):
    """A second wrong knot, the ways to make it, and the first ones that fit it: a part of those with one exchange."""

    second: int
    made: tuple[Made, ...]
    exchange: Exchange
    begin: int
    end: int


class Pairs:
    """Every pair of wrong knots that explains what is seen."""

    def __init__(self, sight: Sight, report: ReportProgress | None = None) -> None:
        """An exception that `report` raises ends the search."""
        self.firsts: dict[Exchange, Firsts] = {NO_EXCHANGE: Firsts()}
        """The first wrong knots by what they exchange."""
        self.matches: list[Match] = []
        """What fits, in the order of the second knots; two for a knot that fits after two different exchanges."""
        self._sight = sight
        self._earliest = max(0, len(sight.knots) - PAIRS_AMONG)
        self._find_firsts()
        self._find_matches(report)

    def _find_firsts(self) -> None:
        for place in range(self._earliest, min(self._sight.first_unlike + 1, len(self._sight.knots))):
            for exchange, ways in self._first_ways(place).items():
                self.firsts.setdefault(exchange, Firsts()).add(place, ways)

    def _first_ways(self, place: int) -> dict[Exchange, tuple[Made, ...]]:
        """The ways in which a knot can be the first wrong one, by what they exchange."""
        sight = self._sight
        way, left, right = sight.knots[place]
        exchange = sight.exchange(left, right)
        if exchange == NO_EXCHANGE:
            found = {NO_EXCHANGE: sight.possible(place, OTHER_WAYS[way], NO_EXCHANGE)}
        else:
            found = {
                NO_EXCHANGE: sight.possible(place, SAME_SIDES[way], NO_EXCHANGE),
                exchange: sight.possible(place, OTHER_SIDES[way], NO_EXCHANGE),
            }
        return {exchange: ways for exchange, ways in found.items() if ways}

    def _find_matches(self, report: ReportProgress | None) -> None:
        sight = self._sight
        first, end = max(self._earliest + 1, sight.settled), len(sight.knots)
        needed: dict[Exchange, Exchange | None] = {NO_EXCHANGE: sight.explained_by()}
        for place in range(first, end):
            if report is not None and (place - first) % REPORTED == 0:
                report(place - first, end - first)
            way, left, right = sight.knots[place]
            ways: dict[Exchange, tuple[Made, ...]] = {}
            for strings, made in ((NO_EXCHANGE, SAME_SIDES[way]), ((left, right), OTHER_SIDES[way])):
                if strings not in needed:
                    needed[strings] = sight.explained_by(strings)
                exchange = needed[strings]
                if exchange is not None and exchange in self.firsts:
                    ways[exchange] = ways.get(exchange, ()) + sight.possible(place, made, exchange)
            for exchange, made in ways.items():
                low, high = sight.last_unlike(exchange, place), place - 1
                part = self.firsts[exchange].between(low, high)
                if made and part[0] < part[1]:
                    self.matches.append(Match(place, made, exchange, *part))

    @property
    def candidates(self) -> int:
        """How many combinations of ways there are in all pairs."""
        return sum(len(match.made) * self.ways_before(match) for match in self.matches)

    def ways_before(self, match: Match) -> int:
        """How many ways there are to make the first knots that fit a second one."""
        return self.firsts[match.exchange].ways_in(match.begin, match.end)

    def total(self) -> int:
        """How many pairs there are."""
        both: dict[Exchange, list[int]] = {}
        found = 0
        for before, match in zip([None, *self.matches], self.matches, strict=False):
            found += match.end - match.begin
            if before is not None and before.second == match.second:
                found -= self._in_both(before, match, both)
        return found

    def _in_both(self, one: Match, other: Match, both: dict[Exchange, list[int]]) -> int:
        """How many first knots are in two matches of one second knot. `both` is filled as it is needed."""
        if NO_EXCHANGE not in (one.exchange, other.exchange):
            return 0
        exchange = max(one.exchange, other.exchange)
        if exchange not in both:
            plain = set(self.firsts[NO_EXCHANGE].places)
            both[exchange] = [place for place in self.firsts[exchange].places if place in plain]
        low = max(self.firsts[each.exchange].places[each.begin] for each in (one, other))
        return max(0, bisect_left(both[exchange], other.second) - bisect_left(both[exchange], low))

    def latest(self, most: int) -> list[Pair]:
        """The pairs with the latest first knot, of these those with the latest second one; at most so many."""
        ways: dict[tuple[int, int], tuple[set[Made], set[Made]]] = {}
        for first, firsts, match in self._latest():
            if (first, match.second) not in ways:
                if len(ways) == most:
                    break
                ways[first, match.second] = set(), set()
            first_made, second_made = ways[first, match.second]
            first_made |= set(firsts)
            second_made |= set(match.made)
        return [Pair(first, _sorted(one), second, _sorted(other)) for (first, second), (one, other) in ways.items()]

    def _latest(self) -> Iterator[tuple[int, tuple[Made, ...], Match]]:
        """The first knots of all matches, latest first, with their ways and the match; the latest second one first."""
        queue = [
            (-self.firsts[match.exchange].places[match.end - 1], -match.second, number, match.end - 1)
            for number, match in enumerate(self.matches)
        ]
        heapify(queue)
        while queue:
            first, second, number, at = queue[0]
            match = self.matches[number]
            firsts = self.firsts[match.exchange]
            yield -first, firsts.ways[at], match
            if at > match.begin:
                heapreplace(queue, (-firsts.places[at - 1], second, number, at - 1))
            else:
                heappop(queue)


def _sorted(made: set[Made]) -> tuple[Made, ...]:
    return tuple(way for way in EVERY_KIND if way in made)
