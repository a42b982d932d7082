"""Chooses the colours in which a terminal shows the threads of a design, for all of them together.

The threads stay at least `ENOUGH` apart on screen, by CIEDE2000; where the terminal's colours do not allow that, as far
apart as was found. Of all choices that keep this, the one is taken that changes the colours least: the sum of the
differences between each thread's own colour and the one shown is smallest. There lightness counts half, as is usual for
textiles, so that a thread rather becomes lighter or darker than another hue.

A search with a bound finds it. Every thread not yet decided costs at least as much as the nearest colour that is far
enough from all decided ones; a branch is left when those sums reach the best choice known. For a few threads the search
ends, and the choice is the best there is. Its budget is a number of branches, so it gives the same on every machine.
When that is used up, two threads at a time are chosen again, if there are few.

Sixteen colours are few enough for the best choice (`few_to_choose`), and greys differ in one way only (`_greys`).
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import chain, combinations
from math import inf
from typing import NamedTuple

from benchmate.craft.colours.colour_difference import as_value, ciede2000, difference, lab, lights_of
from benchmate.craft.colours.few_to_choose import cheapest_apart
from benchmate.craft.colours.terminal_colours import GREYS, ColourDepth, grey_of, nearest

ENOUGH = {16: 30.0, 256: 20.0, 0: 10.0}
"""How far apart threads have to be (CIEDE2000), for each number of colours a terminal shows.

Where every colour can be shown, the design's own are changed only when two of them would be taken for one another.
"""
ENOUGH_IN_GREY = 20.0
"""The same where only greys are shown."""
LOWER = 0.9
"""How much less is tried where threads cannot be that far apart."""
LEAST = 1.0
"""Below this, colours need only be different."""
FEW = 32
"""Up to how many threads the search chooses for; more take their colours one after the other."""
LEAST_IN_TURN, MANY_IN_TURN = 4.0, 64
"""How far apart they then are, and up to how many threads; even more of them are only given different colours."""
MANY, MOST_GREYS = 256, 10
"""Up to how many threads have a colour of their own, or a grey; the others share them, and have a pattern."""
MOST_IN_PAIRS = 6
"""Up to how many threads are chosen again in pairs when the budget is used up."""
BRANCHES = 2000
"""The budget of the search: branches of two threads. It falls with the square of the number of threads."""


class Shown(NamedTuple):
    """How a thread is shown: its colour, and its pattern.

    The pattern is 0, or says how many threads before it in the design share its colour, where there are more threads
    than colours.
    """

    value: str
    pattern: int = 0


class _Choice(NamedTuple):
    cost: float
    value: str


@lru_cache(maxsize=64)
def told_apart(values: tuple[str, ...], depth: ColourDepth) -> tuple[Shown, ...]:
    """How to show threads of these colours (`#rrggbb`), which may be equal. No two are shown in the same way."""
    most = min(len(depth.choice) or MANY, MOST_GREYS if depth.greys else MANY)
    found: list[Shown] = []
    for first in range(0, len(values), most):
        chosen = _apart(values[first : first + most], depth)
        found += [Shown(value, first // most) for value in chosen]
    return tuple(found)


def _apart(values: Sequence[str], depth: ColourDepth) -> list[str]:
    """A different colour for each of the values."""
    if depth.greys:
        return _greys([grey_of(value) for value in values], depth.choice or GREYS)
    enough = ENOUGH[depth.colours]
    plain = [_offers(value, depth)[0].value if depth.choice else nearest(value, depth) for value in values]
    few = len(values) <= FEW
    if depth.colours == 16:
        costs = [[ciede2000(lab(value), lab(each), kl=2) for each in depth.choice] for value in values]
        return cheapest_apart(costs, depth.choice, enough)
    if few and all(difference(one, other) >= enough for one, other in combinations(plain, 2)):
        return plain
    offers = [_offers(value, depth) for value in values] if few else []
    while few and enough >= LEAST:
        chosen = _search(offers, enough)
        if chosen is not None:
            return chosen
        enough *= LOWER
    found = _in_turn(values, plain, depth, LEAST_IN_TURN) if len(values) <= MANY_IN_TURN else None
    return found or _in_turn(values, plain, depth, 0) or plain


def _greys(values: Sequence[str], choice: Sequence[str]) -> list[str]:
    """A different grey for each of the greys, no more than there are to choose from.

    They keep their order from dark to light: greys differ in one way only, so exchanging two of them never helps. Then
    the best choice for the first threads depends only on the grey of the last of them.
    """
    order = sorted(range(len(values)), key=lambda thread: lab(values[thread])[0])
    shown = sorted(choice, key=lambda grey: lab(grey)[0])
    enough = ENOUGH_IN_GREY
    while True:
        sums: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
        for thread in order:
            sums = [
                (cost + difference(values[thread], grey), (*before, at))
                for at, grey in enumerate(shown)
                for cost, before in [_cheapest(sums, shown, at, enough)]
                if cost < inf
            ]
        if sums:
            chosen = dict(zip(order, min(sums)[1], strict=True))
            return [shown[chosen[thread]] for thread in range(len(values))]
        enough *= LOWER


def _cheapest(
    sums: Sequence[tuple[float, tuple[int, ...]]], shown: Sequence[str], at: int, enough: float
) -> tuple[float, tuple[int, ...]]:
    """The cheapest choice for the threads before one that is shown in grey number `at`."""
    fitting = (
        each
        for each in sums
        if not each[1] or (each[1][-1] < at and difference(shown[each[1][-1]], shown[at]) >= enough)
    )
    return min(fitting, default=(inf, ()))


def _in_turn(values: Sequence[str], plain: Sequence[str], depth: ColourDepth, enough: float) -> list[str] | None:
    """For each thread in turn the nearest colour that is far `enough` from all before it; None when there is none."""
    taken: dict[str, None] = {}

    def free(value: str) -> bool:
        return value not in taken and (not enough or all(difference(value, other) >= enough for other in taken))

    for value, wanted in zip(values, plain, strict=True):
        offers = (offer.value for offer in _offers(value, depth))
        last = () if depth.choice else (f"#{level:02x}{level:02x}{level:02x}" for level in range(MANY))
        chosen = wanted if free(wanted) else next(filter(free, chain(offers, last)), None)
        if chosen is None:
            return None
        taken[chosen] = None
    return list(taken)


@lru_cache(maxsize=256)
def _offers(value: str, depth: ColourDepth) -> tuple[_Choice, ...]:
    """The colours a thread can be shown in, nearest first."""
    shown = depth.choice or dict.fromkeys(_shades(value))
    offers = {each: ciede2000(lab(value), lab(each), kl=2) for each in shown}
    return tuple(sorted(map(_Choice, offers.values(), offers)))


def _shades(value: str) -> Iterator[str]:
    """The colour, and colours of its hue: lighter and darker, each as vivid as the colour itself, less, and more."""
    yield value
    _, a, b = lab(value)
    for vivid in (1.0, 0.5, 1.5):
        for step in range(26):
            yield from _rgb(4.0 * step, a * vivid, b * vivid)
    # A grey or a very dark colour has few shades of its own hue; greys make up for that.
    yield from GREYS


def _rgb(lightness: float, a: float, b: float) -> Iterator[str]:
    """The colour `#rrggbb` with these CIE L*a*b* values, if a screen can show it."""
    lights = lights_of((lightness, a, b))
    if all(-0.002 <= light <= 1.002 for light in lights):
        yield as_value(lights)


def _search(offers: Sequence[Sequence[_Choice]], enough: float) -> list[str] | None:
    """The choice with the smallest sum of costs that keeps all threads `enough` apart; None when none was found."""
    found = _Search(offers, enough)
    found.go_on({}, [0] * len(offers), 0.0)
    if found.left <= 0 and len(offers) <= MOST_IN_PAIRS:
        found.improve()
    return [found.best[thread].value for thread in range(len(offers))] if found.best else None


class _Search:
    """A search for one colour for each thread, depth first."""

    def __init__(self, offers: Sequence[Sequence[_Choice]], enough: float) -> None:
        self.offers = offers
        self.enough = enough
        self.left = max(2 * len(offers), BRANCHES * 4 // max(1, len(offers)) ** 2)
        self.best: dict[int, _Choice] = {}
        self.cost = inf

    def go_on(self, decided: dict[int, _Choice], at: list[int], cost: float) -> None:
        """Decides the rest of the threads; `at` is the nearest colour of each that is far enough from all decided."""
        open_ones = [thread for thread in range(len(self.offers)) if thread not in decided]
        if not open_ones:
            self.best, self.cost = dict(decided), cost
            return
        # The thread that has to give way most is decided first: that leaves branches earliest.
        thread = max(open_ones, key=lambda each: self.offers[each][at[each]].cost - self.offers[each][0].cost)
        others = [other for other in open_ones if other != thread]
        place: int | None = at[thread]
        while place is not None:
            offer = self.offers[thread][place]
            if self.left <= 0 or cost + offer.cost + self._least(others, at) >= self.cost - 1e-9:
                return
            self.left -= 1
            decided[thread] = offer
            after = self._narrowed(decided, others, at, offer.value)
            if after is not None and cost + offer.cost + self._least(others, after) < self.cost - 1e-9:
                self.go_on(decided, after, cost + offer.cost)
            del decided[thread]
            place = self._next(thread, place + 1, decided)

    def _least(self, threads: Sequence[int], at: Sequence[int]) -> float:
        return sum(self.offers[thread][at[thread]].cost for thread in threads)

    def _narrowed(
        self, decided: dict[int, _Choice], others: Sequence[int], at: Sequence[int], chosen: str
    ) -> list[int] | None:
        """For each open thread its nearest colour now; None when one of them has none left."""
        after = list(at)
        for other in others:
            if not self._far(self.offers[other][at[other]].value, chosen):
                place = self._next(other, at[other] + 1, decided)
                if place is None:
                    return None
                after[other] = place
        return after

    def _next(self, thread: int, place: int, decided: dict[int, _Choice]) -> int | None:
        offers = self.offers[thread]
        for at in range(place, len(offers)):
            if all(self._far(offers[at].value, other.value) for other in decided.values()):
                return at
        return None

    def _far(self, one: str, other: str) -> bool:
        return one != other and difference(one, other) >= self.enough

    def improve(self) -> None:
        """Chooses again for two threads at a time, for as long as that helps."""
        best, changed = self.best, True
        while changed:
            changed = False
            for one, other in combinations(sorted(best), 2):
                rest = [offer.value for thread, offer in best.items() if thread not in (one, other)]
                mine, others = (
                    [offer for offer in self.offers[thread] if all(self._far(offer.value, value) for value in rest)]
                    for thread in (one, other)
                )
                pair = self._cheapest_pair(mine, others, best[one].cost + best[other].cost - 1e-9)
                if pair is not None:
                    best[one], best[other] = pair
                    changed = True

    def _cheapest_pair(
        self, mine: Sequence[_Choice], others: Sequence[_Choice], below: float
    ) -> tuple[_Choice, _Choice] | None:
        """The cheapest two that are far enough apart; None when they do not cost less than `below`."""
        found = None
        for one in mine:
            for other in others:
                if one.cost + other.cost >= below:
                    break
                if self._far(one.value, other.value):
                    found, below = (one, other), one.cost + other.cost
                    break
        return found
