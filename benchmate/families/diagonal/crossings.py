"""A lower bound on the travel left: how often the hands must cross each place of the band for the open knots.

A place between two neighbouring positions divides the band into a left and a right part. Take a chain of knots, each
resting on the one before. Where two of them have their pick-ups in different parts, the hands cross the place in
between. So no order has fewer crossings than the most changes of part along any chain; for that place alone, an order
with as few exists. The sum over all places is the bound. It is close, because different places rarely need the hands
on different sides at the same time.

Sometimes a string can be put down early or late without an extra pick-up, so its next pick-up may be at one of several
positions. A knot whose string may be picked up in either part counts for neither.
"""

from collections.abc import Iterable

from benchmate.families.diagonal.open_knots import OpenKnots
from benchmate.families.diagonal.segments import Segments

_Bounds = list[int]
"""The crossings left at the place right of position 1, of position 2, and so on."""


class Crossings:
    """A lower bound on the travel left, from any state of the open knots.

    Takes time and memory in proportion to knots times strings.
    """

    def __init__(self, knots: OpenKnots, segments: Segments, in_hand: int) -> None:
        """The string `in_hand` (0 for none) may continue without a pick-up."""
        lowest, highest = _picked_up_between(knots, segments, in_hand)
        none = [0] * (knots.strings - 1)
        # With the hands left of each place, and right of it.
        self._from_left: list[_Bounds] = [none] * knots.size
        self._from_right: list[_Bounds] = [none] * knots.size
        lefts, rights = ([none] * (knots.strings + 2) for _ in range(2))
        for knot in range(knots.size - 1, -1, -1):
            pair = knots.pair[knot]
            left, right = lefts[pair], rights[pair]
            if left is not lefts[pair + 1]:
                left = list(map(max, left, lefts[pair + 1]))
                right = list(map(max, right, rights[pair + 1]))
            # The pick-up is right of the places before `near`, left of those from `far` on, and on either side between.
            near, far = lowest[knot] - 1, highest[knot] - 1
            from_left = [count + 1 for count in right[:near]] + left[near:]
            from_right = right[:far] + [count + 1 for count in left[far:]]
            self._from_left[knot] = lefts[pair] = lefts[pair + 1] = from_left
            self._from_right[knot] = rights[pair] = rights[pair + 1] = from_right

    def travel_left(self, ready: list[int], hands: int) -> int:
        """The bound when `ready` are the knots that can be tied next; `hands` is their position, 0 for anywhere."""
        if not ready:
            return 0
        if not hands:
            lefts, rights = ([bounds[knot] for knot in ready] for bounds in (self._from_left, self._from_right))
            return sum(map(min, _most(lefts), _most(rights)))
        here = hands - 1
        return sum(_most([self._from_right[knot][:here] + self._from_left[knot][here:] for knot in ready]))


def _most(bounds: list[_Bounds]) -> Iterable[int]:
    return map(max, *bounds) if len(bounds) > 1 else bounds[0]


def _picked_up_between(knots: OpenKnots, segments: Segments, in_hand: int) -> tuple[list[int], list[int]]:
    """For every knot, the lowest and the highest position where the pick-up of its string may be."""
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
    """Extends the range of every knot of a series to the positions of all knots that its segment may begin with.

    A segment begins at the latest where the longest segments from the first knot on begin. It may begin earlier as long
    as the rest of the series needs no extra segment.
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
