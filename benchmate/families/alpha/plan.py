"""Which leading string makes which knots of a picture: the fewest strings, then the least thread in floats.

One leading string makes a stretch. It can make a later stretch of its colour when the float between them is not too
long for the maker's rules. So a plan covers the stretches of each colour with paths, one for each string.
"""

from array import array
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

from benchmate.craft.float_rules import FloatRules
from benchmate.families.alpha.path_cover import NONE, Earlier, cheapest_cover, paths
from benchmate.families.alpha.stretches import Float, Stretches, float_between

_UNITS_IN_A_MM = 10**9
"""Lengths are compared as whole numbers, so that every machine finds the same plan."""


class PickUp(NamedTuple):
    """How the leading string of a stretch gets in hand.

    A new string is begun where `float` is None; else the string waits behind knot `waits`, counted from 0. `others`
    is how many more strings of its colour hang then. `cuts` is true where the knot before was the last of its string.
    """

    float: Float | None
    waits: int
    others: int
    cuts: bool


class MadeStretch(NamedTuple):
    """A stretch as a plan has it made: its first knot, from 0, how many there are, and the leading string, from 1.

    `float` is the way that the string is brought to it, None for a new string.
    """

    first: int
    knots: int
    leading: int
    float: Float | None


class LeadingPlan:
    """The leading strings of a band, numbered from 1 in the order in which they are first used."""

    def __init__(self, found: Stretches, rules: FloatRules) -> None:
        """`found` are the stretches of a band, at least one."""
        self._stretches = found
        colours = array("l", map(found.colour, range(len(found))))
        self._before = _cover(found, colours, rules)
        self._strings = _Strings(self._before, colours)

    @property
    def strings(self) -> int:
        """How many leading strings are begun."""
        return len(self._strings.lasts)

    @cached_property
    def hang(self) -> int:
        """The most leading strings that hang at once, each from its first knot to its last."""
        return max(self._strings.hanging)

    @cached_property
    def longest(self) -> tuple[int, int]:
        """The most columns and the most rows that a float passes behind."""
        floats = [(each.columns, each.rows) for each in self.floats]
        columns, rows = zip(*floats, strict=True) if floats else ((0,), (0,))
        return max(columns), max(rows)

    @property
    def stretches(self) -> Iterator[MadeStretch]:
        """All stretches, in working order."""
        found = self._stretches
        for stretch, before in enumerate(self._before):
            brought = None if before == NONE else float_between(found.waits(before), found.wanted(stretch))
            first = found.firsts[stretch]
            yield MadeStretch(first, found.last(stretch) - first + 1, self._strings.numbers[stretch] + 1, brought)

    @property
    def floats(self) -> Iterator[Float]:
        """All floats, in working order."""
        return (each.float for each in self.stretches if each.float is not None)

    def leading(self, number: int) -> int:
        """The number of the leading string that makes a knot."""
        return self._strings.numbers[self._stretch_of(number)] + 1

    def pick_up(self, number: int) -> PickUp | None:
        """How the leading string of a knot gets in hand; None where it is in hand from the knot before."""
        found, strings, stretch = self._stretches, self._strings, self._stretch_of(number)
        if found.firsts[stretch] != number:
            return None
        cuts = stretch > 0 and strings.ends_with(stretch - 1)
        others, before = strings.alike[stretch] - 1, self._before[stretch]
        if before == NONE:
            return PickUp(None, NONE, others, cuts)
        return PickUp(float_between(found.waits(before), found.wanted(stretch)), found.last(before), others, cuts)

    def hanging_after(self, done: int) -> list[int]:
        """The last knot made with each leading string that hangs after the first `done` knots, by their numbers."""
        if not done:
            return []
        strings, here = self._strings, self._stretch_of(done - 1)
        last = {strings.numbers[stretch]: stretch for stretch in range(here + 1)}
        return [
            done - 1 if stretch == here else self._stretches.last(stretch)
            for string, stretch in sorted(last.items())
            if stretch == here or not strings.ends_with(stretch)
        ]

    def waiting(self, number: int) -> list[int]:
        """The knots behind which strings of its colour wait when a stretch is begun with this one, the latest first."""
        found, strings, stretch = self._stretches, self._strings, self._stretch_of(number)
        hanging = strings.alike[stretch] - (self._before[stretch] == NONE)
        waiting: dict[int, int] = {}
        ended: set[int] = set()
        # Every string that waits is picked up again, and no float is longer than the rules allow: this looks back only
        # over a few rows.
        for other in range(stretch - 1, -1, -1):
            if len(waiting) == hanging:
                break
            string = strings.numbers[other]
            if strings.ends_with(other):
                ended.add(string)
            elif found.colour(other) == found.colour(stretch) and string not in ended:
                waiting.setdefault(string, found.last(other))
        return list(waiting.values())

    def _stretch_of(self, number: int) -> int:
        return bisect_right(self._stretches.firsts, number) - 1


class _Strings:
    """The leading strings of a cover, from 0: of each stretch its string, of each string its last stretch.

    `hanging` counts for each stretch the strings that hang while it is made, and `alike` those of its colour.
    """

    def __init__(self, before: Sequence[int], colours: Sequence[int]) -> None:
        self.numbers = array("l", paths(before))
        last = {string: stretch for stretch, string in enumerate(self.numbers)}
        self.lasts = array("l", (last[string] for string in range(len(last))))
        self.hanging, self.alike = array("l"), array("l")
        of_colour = dict.fromkeys(colours, 0)
        hanging = 0
        for stretch, (other, colour) in enumerate(zip(before, colours, strict=True)):
            if other == NONE:
                hanging += 1
                of_colour[colour] += 1
            self.hanging.append(hanging)
            self.alike.append(of_colour[colour])
            if self.ends_with(stretch):
                hanging -= 1
                of_colour[colour] -= 1

    def ends_with(self, stretch: int) -> bool:
        """True when a stretch is the last one of its string."""
        return self.lasts[self.numbers[stretch]] == stretch


def _cover(found: Stretches, colours: Sequence[int], rules: FloatRules) -> Sequence[int]:
    """For each stretch the one that its string made before, or NONE."""
    reach = _Reach(found.columns, rules)
    begin = len(found) * reach.dearest + 1
    by_colour: dict[int, list[int]] = {}
    for stretch, colour in enumerate(colours):
        by_colour.setdefault(colour, []).append(stretch)
    before = array("l", [NONE]) * len(found)
    for alike in by_colour.values():
        for at, other in enumerate(cheapest_cover([*reach.earlier(found, alike, colours)], begin)):
            if other != NONE:
                before[alike[at]] = alike[other]
    if rules.hang is not None and max(_Strings(before, colours).hanging) > rules.hang:
        # Now strings of different colours are in each other's way.
        return cheapest_cover([*reach.earlier(found, range(len(found)), colours)], begin, rules.hang)
    return before


class _Reach:
    """How far a string can be brought: the steps back to every place from which it can come, the nearest first."""

    def __init__(self, columns: int, rules: FloatRules) -> None:
        # A row of places is so wide that no step across leads into another row.
        self._row = columns + 1 + 2 * rules.columns
        across = range(-rules.columns, rules.columns + 1)
        ways = [(Float(abs(side), 0, risen), side) for risen in range(rules.rows + 2) for side in across]
        steps = [(round(way.length(rules) * _UNITS_IN_A_MM), way.risen * self._row + side) for way, side in ways]
        self._steps = sorted(steps)
        self.dearest = self._steps[-1][0]

    def earlier(self, found: Stretches, some: Iterable[int], colours: Sequence[int]) -> Iterator[Earlier]:
        """For each of some stretches, in working order, those of them before it whose string can make it, by index."""
        row, steps = self._row, self._steps
        waiting: dict[int, tuple[int, int]] = {}
        for at, stretch in enumerate(some):
            colour, (up, side) = colours[stretch], found.wanted(stretch)
            here = up * row + side
            nodes, prices = array("l"), array("q")
            for price, step in steps:
                other = waiting.get(here - step)
                if other is not None and other[1] == colour:
                    nodes.append(other[0])
                    prices.append(price)
            yield Earlier(nodes, prices)
            up, side = found.waits(stretch)
            waiting[up * row + side] = at, colour
