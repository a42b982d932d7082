"""How often the hands have to cross the band at each place, at the least, to pick up all that is still open.

Between two neighbouring positions the band has a left part and a right part. Take a chain of knots, each resting on the
one before: where the strings of two of them are picked up in different parts, the hands cross in between. So the most
changes of part along any chain is a number of crossings that no order goes below, and with two parts the hands need no
more for that place alone. The sum over all places is a bound on the travel. It is close: the parts hardly ever want the
hands at different sides at a time.

A string may be put down early or late where that makes no difference to the pick-ups, and then it is picked up again
here or there. A knot whose string may be picked up in either part counts for neither.
"""

from collections.abc import Iterable

from benchmate.families.diagonal.open_knots import OpenKnots
from benchmate.families.diagonal.segments import Segments

_Bounds = list[int]
"""For the place right of position 1, of position 2, and so on: how many crossings there are to come."""


class Crossings:
    """The least travel to come from any state of the open knots.

    Takes time and room in proportion to knots times strings.
    """

    def __init__(self, knots: OpenKnots, segments: Segments, in_hand: int) -> None:
        """The string `in_hand` (0 for none) may go on without being picked up."""
        lowest, highest = _picked_up_between(knots, segments, in_hand)
        none = [0] * (knots.strings - 1)
        # With the hands to the left of each place, and to its right.
        self._from_left: list[_Bounds] = [none] * knots.size
        self._from_right: list[_Bounds] = [none] * knots.size
        lefts, rights = ([none] * (knots.strings + 2) for _ in range(2))
        for knot in range(knots.size - 1, -1, -1):
            pair = knots.pair[knot]
            left, right = lefts[pair], rights[pair]
            if left is not lefts[pair + 1]:
                left = list(map(max, left, lefts[pair + 1]))
                right = list(map(max, right, rights[pair + 1]))
            # It is picked up right of the places before `near`, left of those from `far` on, and either in between.
            near, far = lowest[knot] - 1, highest[knot] - 1
            from_left = [count + 1 for count in right[:near]] + left[near:]
            from_right = right[:far] + [count + 1 for count in left[far:]]
            self._from_left[knot] = lefts[pair] = lefts[pair + 1] = from_left
            self._from_right[knot] = rights[pair] = rights[pair + 1] = from_right

    def to_come(self, ready: list[int], hands: int) -> int:
        """The least travel when `ready` are the knots that can be tied, the hands at a position, or 0 for anywhere."""
        if not ready:
            return 0
        if not hands:
            lefts, rights = ([made[knot] for knot in ready] for made in (self._from_left, self._from_right))
            return sum(map(min, _most(lefts), _most(rights)))
        here = hands - 1
        return sum(_most([self._from_right[knot][:here] + self._from_left[knot][here:] for knot in ready]))


def _most(bounds: list[_Bounds]) -> Iterable[int]:
    return map(max, *bounds) if len(bounds) > 1 else bounds[0]


def _picked_up_between(knots: OpenKnots, segments: Segments, in_hand: int) -> tuple[list[int], list[int]]:
    """For every knot the lowest and the highest position at which its string may be picked up for it."""
    lowest, highest = list(knots.picked_at), list(knots.picked_at)
    joined_on = set(segments.after)
    for knot in range(knots.size):
        if knot in joined_on:
            continue
        series = [knot]
        while (following := segments.after[series[-1]]) < knots.size:
            series.append(following)
        if knots.knotting[knot] == in_hand:
            in_hand = 0
            for other in series:
                lowest[other], highest[other] = 1, knots.strings
        else:
            _spread(knots, segments, series, lowest, highest)
    return lowest, highest


def _spread(knots: OpenKnots, segments: Segments, series: list[int], lowest: list[int], highest: list[int]) -> None:
    """Has every knot of a series take in the positions of all knots that its segment may begin with.

    The segments begin, at the latest, where the longest ones from the first knot on do; and as much earlier as what is
    joined on from there needs no segment more.
    """
    needed, picked_at = segments.needed, knots.picked_at
    before: tuple[int, int] | None = None
    at = 0
    while at < len(series):
        latest = earliest = at
        while earliest and before and needed[series[earliest - 1]] == needed[series[latest]]:
            earliest -= 1
        low = high = picked_at[series[earliest]]
        for place in range(earliest, latest + 1):
            low, high = min(low, picked_at[series[place]]), max(high, picked_at[series[place]])
            if before and place < latest:
                lowest[series[place]], highest[series[place]] = min(low, before[0]), max(high, before[1])
        at = series.index(segments.furthest[series[latest]], latest) + 1
        for knot in series[latest:at]:
            lowest[knot], highest[knot] = low, high
        before = low, high
