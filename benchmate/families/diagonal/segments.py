"""Segments, runs of knots made with one string without putting it down, and the fewest segments possible.

Two knots form a join when they follow one another on a string and that string makes both. A segment keeps joins, and
each kept join saves a pick-up. A join must be broken only where knots come in between: where a path of knots, each
resting on the one before, leaves the segment and comes back to a later knot of it. So each series of joins on a string
has stretches in which one join must be broken. Putting the string down as late as possible breaks the fewest joins.

No order has fewer pick-ups: the stretches found this way do not overlap, and each needs a break of its own.

An order with that few exists. Draw the chart with strings as lines that run up and knots as points where they meet.
Between the lines lie faces, each with a lowest and a highest knot, a left side and a right side. Leave out every line
that is a whole side alone (one of the two if both are): the other side implies the same constraints. Then each side of
a face has a line outside the segments; otherwise the side would lie within one segment, and the other side would be a
path that leaves it and comes back. Now suppose some segments wait for one another in a cycle, and take a shortest one.
It is a closed curve in the drawing that does not cross itself. It runs up and down within segments but only up
elsewhere, so all its lines outside segments have the inside on the same hand, say the right. All faces inside lie
between knots. From any of them, move right from face to face across lines outside segments. No face comes twice: the
faces passed would enclose knots whose lines all lead away from them or all towards them, and then the lowest such knot
would rest on nothing, or the highest would carry nothing. So the path gets outside at last, across a line that has the
inside on its left. That is a contradiction, so there is no such cycle.

The result does not depend on this proof: the search finds an order, and its pick-ups are compared with the bound.
"""

from bisect import bisect_left
from itertools import pairwise
from typing import NamedTuple

from benchmate.families.diagonal.open_knots import Knots, OpenKnots


class Segments:
    """Where to put down the string in hand so that the open knots take the fewest pick-ups.

    For every knot: `after`, the next knot on its knotting string if the two form a join, else `size`; `furthest`, the
    last knot of the longest segment that begins with it; `needed`, the fewest segments for it and the rest of its
    series (0 for `size`). `fewest` is the number of pick-ups for all knots.
    """

    def __init__(self, knots: OpenKnots) -> None:
        size = knots.size
        self.after = [size] * size
        self.furthest = list(range(size))
        self.needed = [1] * size + [0]
        self.fewest = 0
        for series in _all_series(knots):
            self._divide(series.joined, series.paths_from)
            self.fewest += self.needed[series.joined[0]]

    def _divide(self, joined: list[int], paths_from: list[int]) -> None:
        for knot, following in pairwise(joined):
            self.after[knot] = following
        last = len(joined) - 1
        for at in range(last, -1, -1):
            while paths_from[last] >= at:
                last -= 1
            knot, furthest = joined[at], joined[last]
            self.furthest[knot] = furthest
            self.needed[knot] = 1 + self.needed[self.after[furthest]]


def fewest_pickups(band: Knots) -> int:
    """The fewest pick-ups of any order of the knots of a band."""
    return Segments(OpenKnots(band)).fewest


class _Series(NamedTuple):
    """Knots each joined to the one before, and for each the start of the last path that leaves the series and returns.

    A segment that ends at place i or later cannot begin at place `paths_from[i]` or earlier; -1 where it can begin
    anywhere. These are less than i and never decrease. `lefts` and `rights` are the ranks of the knots.
    """

    joined: list[int]
    paths_from: list[int]
    lefts: list[int]
    rights: list[int]


def _all_series(knots: OpenKnots) -> list[_Series]:
    from_left, from_right = knots.ranks(from_left=True), knots.ranks(from_left=False)
    found: list[_Series] = []
    current: dict[int, _Series] = {}
    latest: dict[int, int] = {}
    knotting, passive = knots.knotting, knots.passive
    for knot in range(knots.size):
        string, over = knotting[knot], passive[knot]
        before, under = latest.get(string), latest.get(over)
        path_from = -1
        if before is None or knotting[before] != string:
            series = current[string] = _Series([], [], [], [])
            found.append(series)
        else:
            series = current[string]
            path_from = series.paths_from[-1]
            # Every knot that must come before this one does so through the last knot on one of its two strings.
            if under is not None and knotting[under] != string:
                lefts, rights = series.lefts, series.rights
                path = min(bisect_left(lefts, from_left[under]), bisect_left(rights, from_right[under])) - 1
                path_from = max(path_from, path)
        series.joined.append(knot)
        series.paths_from.append(path_from)
        series.lefts.append(from_left[knot])
        series.rights.append(from_right[knot])
        latest[string] = latest[over] = knot
    return found
