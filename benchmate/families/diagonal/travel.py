"""The order of the segments in which the hands travel least across the band, and its working edge is most level.

Both searches lay segment after segment, and of all ways to the same open knots, with the hands at the same place, go on
from the best one only. `far_and_wide` tries every segment and every place to put the string down that keep the fewest
pick-ups; when it comes to an end the order is the best there is. It does so where few places are open at a time or the
band is short. `near_first` goes only to the nearest segment to the left and to the right of the hands, each laid as
far as it goes (what lies nearer can be laid in passing, which costs no travel), and keeps a limited number of ways:
those that promise the least travel in all, by what is known of the crossings to come.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from math import inf
from operator import itemgetter
from typing import NamedTuple, TypeAlias

from benchmate.craft.work import NOTHING_IN_HAND, ReportProgress, StringInHand
from benchmate.families.diagonal.crossings import Crossings
from benchmate.families.diagonal.open_knots import OpenKnots
from benchmate.families.diagonal.segments import Segments

GUIDED, SHORT, WIDEST = 2, 96_000, 64
"""How many ways to the same number of segments are kept in going to the nearest, where it is known what is to come: the
first number at the least, the third at the most, and as many as make the second number of ways, times strings, in all.
"""
WIDTH, UNGUIDED = 12, 60_000
"""How many are kept where it is not, and how many ways are gone on from then, at the most, before fewer are kept."""
ROOM, WIDE = 1_000_000, 64
"""Up to so many knots, times strings, and up to so many strings there is room and time to know what is to come."""
FAR, FARTHEST = 1_440_000, 12_000
"""How many ways are gone on from, at the most, in trying everything: the first number, by the strings times strings,
which is what each costs; and never more than the second.
"""
EVERY = 32
"""How many segments are laid between two tellings how far it is."""


class Found(NamedTuple):
    """The open knots in order, whether it is settled that no order with the fewest pick-ups is better, and a number of
    positions that the hands travel at the least in any of those.
    """

    knots: list[int]
    settled: bool
    least_travel: int


# Plain tuples, because so many are made: a named one takes three times as long.
_Trail: TypeAlias = "tuple[_Trail, int, int] | None"
"""The segments laid so far: all before the last one, and the knots that one begins and ends with."""
_Way: TypeAlias = tuple[int, int, tuple[int, ...], int, _Trail]
"""How far the hands have travelled, the most uneven edge, the first open knots, the hands' position, the segments."""
_merit = itemgetter(0, 1)
_Laid: TypeAlias = tuple[int, tuple[int, ...], int]
"""The knot a segment ends with, the first open knots then, and the most uneven edge on the way."""


class Search:
    """A search for an order of all open knots, going on from what is in hand.

    `pickups` is how many pick-ups it takes, the fewest there can be.
    """

    def __init__(
        self,
        knots: OpenKnots,
        segments: Segments,
        hands: StringInHand = NOTHING_IN_HAND,
        report: ReportProgress | None = None,
    ) -> None:
        self._knots = knots
        self._segments = segments
        self._report = tell
        self._hands = hands
        self._begin, self.pickups = self._beginning(hands)

    def best(self) -> Found:
        """An order with the fewest pick-ups, and among those with the least travel of the hands.

        Travel is the sum of the distances between the positions of successive pick-ups. Where that is equal too, the
        working edge stays most level: the smallest largest number of rows that a string is ahead of its neighbour. That
        is the row of the knot just tied on it, less the rows done on the string that hangs beside it, which are all
        before the row of its next knot.
        """
        near = self.near_first()
        best = self.far_and_wide(near)
        least = min(map(self._to_come, self._begin)) if best is None else best[0]
        return Found(self._knots_of(best or near), best is not None, least)

    @cached_property
    def _crossings(self) -> Crossings | None:
        knots = self._knots
        if knots.strings > WIDE or knots.size * knots.strings > ROOM:
            return None
        return Crossings(knots, self._segments, self._hands.string)

    def _beginning(self, hands: StringInHand) -> tuple[list[_Way], int]:
        """The ways to begin, and how many pick-ups each takes from there.

        Where the string in hand can go on to a place where it may be put down, that saves a pick-up. Otherwise it may
        still go on as far as it can, which costs the pick-up later that it saves now.
        """
        knots, segments = self._knots, self._segments
        start: _Way = (0, 0, tuple(knots.first), hands.position, None)
        for knot in self._ready(start[2]):
            if knots.knotting[knot] == hands.string:
                laid = self._laid(start[2], knot, every=True)
                if laid:
                    return [_begun(knot, each, hands) for each in laid], segments.fewest - 1
                begun = self._laid(start[2], knot, every=True, spare=1)
                return [start, *(_begun(knot, each, hands) for each in begun)], segments.fewest
        return [start], segments.fewest

    def near_first(self) -> _Way:
        """The best way found by going to the nearest segments first."""
        segments = max(1, self.pickups)
        width = max(1, min(WIDTH, UNGUIDED // segments))
        if self._crossings is not None:
            width = max(GUIDED, min(WIDEST, SHORT // self._knots.strings // segments))
        ways: Iterable[_Way] = self._begin
        for laid in range(self.pickups):
            self._say(laid)
            found = self._further(ways, self._nearest)
            ways = found.values() if len(found) <= width else sorted(found.values(), key=self._promise)[:width]
        return min(ways, key=_merit)

    def _promise(self, way: _Way) -> tuple[int, int]:
        """How far the hands will have travelled in the end, at the least, and the most uneven edge so far."""
        return way[0] + self._to_come(way), way[1]

    def _to_come(self, way: _Way) -> int:
        return 0 if self._crossings is None else self._crossings.to_come(self._ready(way[2]), way[3])

    def far_and_wide(self, bound: _Way) -> _Way | None:
        """The best way there is, which is `bound` when none is better; None when there are too many to try."""
        ways: Iterable[_Way] = self._begin
        gone_on, many = 0.0, min(FARTHEST, FAR / self._knots.strings**2)
        for laid in range(self.pickups):
            # For whoever watches, the way found first is all there is to wait for.
            if self._report is not None and laid % EVERY == 0:
                self._report(self.pickups, self.pickups)
            # Where they are too many they are so long before the end.
            most = many * (laid + 10) / (self.pickups + 10) - gone_on
            found = self._further(ways, self._all, most)
            if len(found) > most:
                return None
            ways = [way for way in found.values() if self._promise(way) < _merit(bound)]
            gone_on += len(ways)
        return min(ways, key=_merit, default=bound)

    def _say(self, laid: int) -> None:
        if self._report is not None and laid % EVERY == 0:
            self._report(laid, self.pickups)

    def _further(
        self,
        ways: Iterable[_Way],
        choices: Callable[[_Way], Iterator[tuple[int, _Laid]]],
        most: float = inf,
    ) -> dict[tuple[tuple[int, ...], int], _Way]:
        """Every way with one segment more, the best to each set of open knots and position of the hands.

        When there are more than `most`, not all of them.
        """
        picked_at = self._knots.picked_at
        found: dict[tuple[tuple[int, ...], int], _Way] = {}
        for way in ways:
            if len(found) > most:
                break
            travelled, uneven, _, hands, trail = way
            for knot, (ends, first, edge) in choices(way):
                position = picked_at[knot]
                travel = travelled + abs(position - hands) if hands else travelled
                worst = edge if edge > uneven else uneven
                key = (first, position)
                known = found.get(key)
                if known is None or travel < known[0] or (travel == known[0] and worst < known[1]):
                    found[key] = (travel, worst, first, position, (trail, knot, ends))
        return found

    def _all(self, way: _Way) -> Iterator[tuple[int, _Laid]]:
        for knot in self._ready(way[2]):
            for laid in self._laid(way[2], knot, every=True):
                yield knot, laid

    def _nearest(self, way: _Way) -> Iterator[tuple[int, _Laid]]:
        """The nearest segment to the left of the hands and the nearest to the right; any when they are nowhere yet."""
        first, hands, last = way[2], way[3], self._knots.strings - 1
        if not hands:
            for knot in self._ready(first):
                for laid in self._laid(first, knot):
                    yield knot, laid
            return
        to_the_left = self._nearest_of(first, hands, range(min(hands, last), 0, -1), -1)
        to_the_right = self._nearest_of(first, hands, range(max(hands - 1, 1), last + 1), 1)
        if to_the_left is not None:
            yield to_the_left
        if to_the_right is not None and (to_the_left is None or to_the_left[0] != to_the_right[0]):
            yield to_the_right

    def _nearest_of(
        self, first: tuple[int, ...], hands: int, pairs: Sequence[int], onward: int
    ) -> tuple[int, _Laid] | None:
        picked_at = self._knots.picked_at
        found: tuple[int, _Laid] | None = None
        nearest = 0
        for pair in pairs:
            # A string is picked up at its pair's left position or at its right one.
            if found is not None and (pair - hands) * onward - (onward < 0) > nearest:
                break
            knot = first[pair]
            if first[pair - 1] > knot < first[pair + 1]:
                distance = (picked_at[knot] - hands) * onward
                if distance >= 0 and (found is None or distance < nearest):
                    for laid in self._laid(first, knot):
                        found, nearest = (knot, laid), distance
        return found

    def _ready(self, first: tuple[int, ...]) -> list[int]:
        """The knots that can be tied, from the left."""
        return [knot for before, knot, after in zip(first, first[1:], first[2:], strict=False) if before > knot < after]

    def _laid(self, first: tuple[int, ...], knot: int, *, every: bool = False, spare: int = 0) -> list[_Laid]:
        """The segments that begin with a knot and can be laid at once: the longest one, or `every` one.

        Only such as keep the number of pick-ups the fewest, or cost `spare` more; there may be none.
        """
        pairs, above, row = self._knots.pair, self._knots.above, self._knots.row
        after, needed, furthest = self._segments.after, self._segments.needed, self._segments.furthest[knot]
        last = self._knots.strings - 1
        rest = needed[knot] - 1 + spare
        found: list[_Laid] = []
        now = list(first)
        uneven = 0
        while True:
            pair = pairs[knot]
            now[pair] = above[knot]
            behind = row[knot] + 1
            # The next open knot of the string that hangs beside is the lower of those at its two pairs.
            if pair > 1:
                one, other = now[pair - 2], now[pair - 1]
                beside = behind - row[one if one < other else other]
                uneven = beside if beside > uneven else uneven
            if pair < last:
                one, other = now[pair + 1], now[pair + 2]
                beside = behind - row[one if one < other else other]
                uneven = beside if beside > uneven else uneven
            following = after[knot]
            goes_on = False
            if knot != furthest:
                pair = pairs[following]
                goes_on = now[pair - 1] > following == now[pair] < now[pair + 1]
            if (every or not goes_on) and needed[following] == rest:
                found.append((knot, tuple(now), uneven))
            if not goes_on:
                return found
            knot = following

    def _knots_of(self, way: _Way) -> list[int]:
        """All knots of a way, first to last."""
        found: list[int] = []
        after = self._segments.after
        trail = way[4]
        while trail is not None:
            trail, begins, ends = trail
            segment = [begins]
            while segment[-1] != ends:
                segment.append(after[segment[-1]])
            found += reversed(segment)
        return found[::-1]


def _begun(knot: int, laid: _Laid, hands: StringInHand) -> _Way:
    """The way that begins with the string in hand going on, which takes no picking up."""
    ends, first, edge = laid
    return 0, edge, first, hands.position, (None, knot, ends)
