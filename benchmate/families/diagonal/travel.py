"""Planning the order of the segments: the least travel of the hands, then the most level working edge.

Both searches place segment after segment. A node is a state after some segments: of all nodes with the same open knots
and the same position of the hands, a search keeps the best. `exhaustive` tries every segment and every place to put the
string down that keep the fewest pick-ups; when it finishes, the order is the best possible. It finishes when few
segments are ready at a time or the band is short. `nearest_first` is a beam search. It tries only the nearest segment
to the left of the hands and the nearest to the right, each as long as possible (nearer ones can be placed in passing at
no travel), and keeps a limited number of nodes: those with the least travel so far plus the bound on the travel left.
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

LEAST_BEAM, BEAM_NODES, MOST_BEAM = 2, 96_000, 64
"""The width of the beam where there is a bound on the travel left: `BEAM_NODES` divided by strings and segments, but
within `LEAST_BEAM` and `MOST_BEAM`.
"""
UNBOUNDED_BEAM, UNBOUNDED_NODES = 12, 60_000
"""The width of the beam where there is no bound, and the most nodes expanded then before the beam gets narrower."""
BOUND_CELLS, BOUND_STRINGS = 1_000_000, 64
"""The most knots times strings, and the most strings, for which the bound has memory and time."""
EXHAUSTIVE_WORK, EXHAUSTIVE_NODES = 1_440_000, 12_000
"""The most nodes that the exhaustive search expands: the first number divided by strings times strings (the cost of a
node), and never more than the second.
"""
REPORT_EVERY = 32
"""How many segments are placed between two reports of progress."""


class Found(NamedTuple):
    """The open knots in order. `settled` means that no order with the fewest pick-ups is better; `least_travel` is a
    lower bound on the travel of all of those, in positions.
    """

    knots: list[int]
    settled: bool
    least_travel: int


# Plain tuples, because the searches make so many: a named tuple takes three times as long.
_Path: TypeAlias = "tuple[_Path, int, int] | None"
"""The segments placed so far: the path before the last one, and the first and last knot of that one."""
_Node: TypeAlias = tuple[int, int, tuple[int, ...], int, _Path]
"""The travel so far, the most uneven edge, the first open knots, the position of the hands, the segments so far."""
_merit = itemgetter(0, 1)
_Placed: TypeAlias = tuple[int, tuple[int, ...], int]
"""A segment: its last knot, the first open knots after it, and its most uneven edge."""


class Search:
    """A search for an order of all open knots, starting with the string in hand.

    `pickups` is its number of pick-ups, the fewest possible.
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
        self._report = report
        self._hands = hands
        self._begin, self.pickups = self._beginning(hands)

    def best(self) -> Found:
        """The best order found: the fewest pick-ups, then the least travel, then the most level working edge.

        Travel is the sum of the distances between the positions of successive pick-ups. The edge is most level when the
        most rows that any string gets ahead of its neighbour are fewest. A string is ahead by the row of the knot just
        tied on it, less the rows done on the string beside it (all rows before that string's next knot).
        """
        nearest = self.nearest_first()
        best = self.exhaustive(nearest)
        least = min(map(self._travel_left, self._begin)) if best is None else best[0]
        return Found(self._knots_of(best or nearest), best is not None, least)

    @cached_property
    def _crossings(self) -> Crossings | None:
        knots = self._knots
        if knots.strings > BOUND_STRINGS or knots.size * knots.strings > BOUND_CELLS:
            return None
        return Crossings(knots, self._segments, self._hands.string)

    def _beginning(self, hands: StringInHand) -> tuple[list[_Node], int]:
        """The first nodes, and how many pick-ups each needs from there.

        If the string in hand can continue to a place where it may be put down, that saves a pick-up. Otherwise it may
        still continue as far as it goes, which costs later the pick-up it saves now.
        """
        knots, segments = self._knots, self._segments
        start: _Node = (0, 0, tuple(knots.first), hands.position, None)
        for knot in self._ready(start[2]):
            if knots.knotting[knot] == hands.string:
                placed = self._segments_from(start[2], knot, every=True)
                if placed:
                    return [_continued(knot, each, hands) for each in placed], segments.fewest - 1
                continued = self._segments_from(start[2], knot, every=True, spare=1)
                return [start, *(_continued(knot, each, hands) for each in continued)], segments.fewest
        return [start], segments.fewest

    def nearest_first(self) -> _Node:
        """The best node of the beam search over the nearest segments."""
        segments = max(1, self.pickups)
        width = max(1, min(UNBOUNDED_BEAM, UNBOUNDED_NODES // segments))
        if self._crossings is not None:
            width = max(LEAST_BEAM, min(MOST_BEAM, BEAM_NODES // self._knots.strings // segments))
        nodes: Iterable[_Node] = self._begin
        for placed in range(self.pickups):
            self._report_progress(placed)
            found = self._expand(nodes, self._nearest)
            nodes = found.values() if len(found) <= width else sorted(found.values(), key=self._estimate)[:width]
        return min(nodes, key=_merit)

    def _estimate(self, node: _Node) -> tuple[int, int]:
        """A lower bound on the whole travel, and the most uneven edge so far."""
        return node[0] + self._travel_left(node), node[1]

    def _travel_left(self, node: _Node) -> int:
        return 0 if self._crossings is None else self._crossings.travel_left(self._ready(node[2]), node[3])

    def exhaustive(self, bound: _Node) -> _Node | None:
        """The best node of all, `bound` if none is better; None when there are too many nodes to expand."""
        nodes: Iterable[_Node] = self._begin
        expanded, limit = 0.0, min(EXHAUSTIVE_NODES, EXHAUSTIVE_WORK / self._knots.strings**2)
        for placed in range(self.pickups):
            # The beam search is the long part and is finished, so this reports 100%.
            if self._report is not None and placed % REPORT_EVERY == 0:
                self._report(self.pickups, self.pickups)
            # The limit grows with the segments placed: a search that will be too large shows it early.
            most = limit * (placed + 10) / (self.pickups + 10) - expanded
            found = self._expand(nodes, self._all, most)
            if len(found) > most:
                return None
            nodes = [node for node in found.values() if self._estimate(node) < _merit(bound)]
            expanded += len(nodes)
        return min(nodes, key=_merit, default=bound)

    def _report_progress(self, placed: int) -> None:
        if self._report is not None and placed % REPORT_EVERY == 0:
            self._report(placed, self.pickups)

    def _expand(
        self,
        nodes: Iterable[_Node],
        choices: Callable[[_Node], Iterator[tuple[int, _Placed]]],
        most: float = inf,
    ) -> dict[tuple[tuple[int, ...], int], _Node]:
        """The nodes with one more segment, the best for each set of open knots and position of the hands.

        Stops early when there are more than `most`.
        """
        picked_at = self._knots.picked_at
        found: dict[tuple[tuple[int, ...], int], _Node] = {}
        for node in nodes:
            if len(found) > most:
                break
            travelled, uneven, _, hands, path = node
            for knot, (ends, first, edge) in choices(node):
                position = picked_at[knot]
                travel = travelled + abs(position - hands) if hands else travelled
                worst = edge if edge > uneven else uneven
                key = (first, position)
                known = found.get(key)
                if known is None or travel < known[0] or (travel == known[0] and worst < known[1]):
                    found[key] = (travel, worst, first, position, (path, knot, ends))
        return found

    def _all(self, node: _Node) -> Iterator[tuple[int, _Placed]]:
        for knot in self._ready(node[2]):
            for placed in self._segments_from(node[2], knot, every=True):
                yield knot, placed

    def _nearest(self, node: _Node) -> Iterator[tuple[int, _Placed]]:
        """The nearest segments left and right of the hands; all ready ones while the hands have no position."""
        first, hands, last = node[2], node[3], self._knots.strings - 1
        if not hands:
            for knot in self._ready(first):
                for placed in self._segments_from(first, knot):
                    yield knot, placed
            return
        to_the_left = self._nearest_of(first, hands, range(min(hands, last), 0, -1), -1)
        to_the_right = self._nearest_of(first, hands, range(max(hands - 1, 1), last + 1), 1)
        if to_the_left is not None:
            yield to_the_left
        if to_the_right is not None and (to_the_left is None or to_the_left[0] != to_the_right[0]):
            yield to_the_right

    def _nearest_of(
        self, first: tuple[int, ...], hands: int, pairs: Sequence[int], onward: int
    ) -> tuple[int, _Placed] | None:
        picked_at = self._knots.picked_at
        found: tuple[int, _Placed] | None = None
        nearest = 0
        for pair in pairs:
            # A pick-up is at the left or the right position of its pair.
            if found is not None and (pair - hands) * onward - (onward < 0) > nearest:
                break
            knot = first[pair]
            if first[pair - 1] > knot < first[pair + 1]:
                distance = (picked_at[knot] - hands) * onward
                if distance >= 0 and (found is None or distance < nearest):
                    for placed in self._segments_from(first, knot):
                        found, nearest = (knot, placed), distance
        return found

    def _ready(self, first: tuple[int, ...]) -> list[int]:
        """The knots that can be tied, from the left."""
        return [knot for before, knot, after in zip(first, first[1:], first[2:], strict=False) if before > knot < after]

    def _segments_from(
        self, first: tuple[int, ...], knot: int, *, every: bool = False, spare: int = 0
    ) -> list[_Placed]:
        """The segments that begin with a knot and can be tied now: the longest one, or `every` one.

        Only those that keep the fewest pick-ups, or cost `spare` more; there may be none.
        """
        pairs, above, row = self._knots.pair, self._knots.above, self._knots.row
        after, needed, furthest = self._segments.after, self._segments.needed, self._segments.furthest[knot]
        last = self._knots.strings - 1
        rest = needed[knot] - 1 + spare
        found: list[_Placed] = []
        now = list(first)
        uneven = 0
        while True:
            pair = pairs[knot]
            now[pair] = above[knot]
            behind = row[knot] + 1
            # The next open knot on the string beside is the lower of those at its two pairs.
            if pair > 1:
                one, other = now[pair - 2], now[pair - 1]
                beside = behind - row[one if one < other else other]
                uneven = beside if beside > uneven else uneven
            if pair < last:
                one, other = now[pair + 1], now[pair + 2]
                beside = behind - row[one if one < other else other]
                uneven = beside if beside > uneven else uneven
            following = after[knot]
            continues = False
            if knot != furthest:
                pair = pairs[following]
                continues = now[pair - 1] > following == now[pair] < now[pair + 1]
            if (every or not continues) and needed[following] == rest:
                found.append((knot, tuple(now), uneven))
            if not continues:
                return found
            knot = following

    def _knots_of(self, node: _Node) -> list[int]:
        """All knots on the path to a node, first to last."""
        found: list[int] = []
        after = self._segments.after
        path = node[4]
        while path is not None:
            path, begins, ends = path
            segment = [begins]
            while segment[-1] != ends:
                segment.append(after[segment[-1]])
            found += reversed(segment)
        return found[::-1]


def _continued(knot: int, placed: _Placed, hands: StringInHand) -> _Node:
    """The first node when the string in hand continues, which needs no pick-up."""
    ends, first, edge = placed
    return 0, edge, first, hands.position, (None, knot, ends)
