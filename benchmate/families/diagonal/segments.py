"""Segments: runs of knots made with one string without putting it down, and the fewest there can be of them.

Two knots are a join when they follow one another on one string and are both made with it; a segment keeps joins, and
every join kept saves a pick-up. Joins have to be broken only for the sake of knots that must be tied in between: when a
way leads up from a knot of the segment, through knots outside it, to a later knot of the segment. So among the joins
that a string makes one after the other there are stretches of which one must be broken, and putting the string down as
late as they allow breaks the fewest.

No order has fewer pick-ups: the stretches met that way do not overlap, and each costs a break of its own.

There is an order with so few. Draw the chart, strings as lines going up and knots as points where they meet. Between
the lines lie openings, each with a lowest and a highest knot and a side of lines to its left and one to its right.
Leave out every line that is a whole side by itself, one of the two where both are: the other side asks for all that it
asks. Then on each side of an opening there is a line outside the segments, or the side would lie within one and the
other would be a way out of it and back. Now suppose segments waited for one another in a ring, and take a shortest one.
It is a closed way in the drawing that does not cross itself, up and down within segments and only up otherwise, so the
lines outside segments that it goes up all have its inside on the same hand, say the right. All openings inside lie
between knots. From one of them one can go on to the right, from opening to opening, by lines outside segments. None
comes twice, for the openings passed would enclose knots with lines that all lead away from them, or all towards them,
and the lowest of those would hang on nothing, or the highest carry nothing. So one gets outside at last, and the line
one leaves by has the inside to its left. There is no such ring.

Nobody has to believe that: an order is found, and its pick-ups are counted beside the bound.
"""

from bisect import bisect_left
from itertools import pairwise
from typing import NamedTuple

from benchmate.families.diagonal.open_knots import Knots, OpenKnots


class Segments:
    """Where the string in hand can be put down so that all open knots take the fewest pick-ups.

    For every knot: `after`, the next one on its knotting string where the two are a join, else `size`; `furthest`, the
    last knot of the longest segment that begins with it; `needed`, the fewest segments for it and all that is joined
    on after it, which is 0 for `size`. `fewest` is the number of pick-ups for all knots.
    """

    def __init__(self, knots: OpenKnots) -> None:
        size = knots.size
        self.after = [size] * size
        self.furthest = list(range(size))
        self.needed = [1] * size + [0]
        self.fewest = 0
        for series in _all_series(knots):
            self._divide(series.joined, series.ways_from)
            self.fewest += self.needed[series.joined[0]]

    def _divide(self, joined: list[int], ways_from: list[int]) -> None:
        for knot, following in pairwise(joined):
            self.after[knot] = following
        last = len(joined) - 1
        for at in range(last, -1, -1):
            while ways_from[last] >= at:
                last -= 1
            knot, furthest = joined[at], joined[last]
            self.furthest[knot] = furthest
            self.needed[knot] = 1 + self.needed[self.after[furthest]]


def fewest_pickups(band: Knots) -> int:
    """The fewest pick-ups of all orders of a band's knots."""
    return Segments(OpenKnots(band)).fewest


class _Series(NamedTuple):
    """Knots each joined to the one before, and for each where the last way begins that leads out and back to it.

    A segment that ends with the knot at place i, or later, cannot begin with the one at place `ways_from[i]`, or
    earlier; -1 where it can begin with any. These are less than i, and never go down. `lefts` and `rights` are the
    ranks of the knots.
    """

    joined: list[int]
    ways_from: list[int]
    lefts: list[int]
    rights: list[int]


def _all_series(knots: OpenKnots) -> list[_Series]:
    from_left, from_right = knots.ranks(from_left=True), knots.ranks(from_left=False)
    found: list[_Series] = []
    current: dict[int, _Series] = {}
    latest: dict[int, int] = {}
    maker, passive = knots.knotting, knots.passive
    for knot in range(knots.size):
        string, over = maker[knot], passive[knot]
        before, under = latest.get(string), latest.get(over)
        way_from = -1
        if before is None or maker[before] != string:
            series = current[string] = _Series([], [], [], [])
            found.append(series)
        else:
            series = current[string]
            way_from = series.ways_from[-1]
            # What comes before this knot comes before it by way of the last knot on either of its strings.
            if under is not None and maker[under] != string:
                lefts, rights = series.lefts, series.rights
                way = min(bisect_left(lefts, from_left[under]), bisect_left(rights, from_right[under])) - 1
                way_from = max(way_from, way)
        series.joined.append(knot)
        series.ways_from.append(way_from)
        series.lefts.append(from_left[knot])
        series.rights.append(from_right[knot])
        latest[string] = latest[over] = knot
    return found
