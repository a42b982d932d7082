"""The exact search among the fillings that a packing under a given cost can hold: every length is cut once."""

from bisect import bisect_right
from collections.abc import Callable, Iterator
from typing import NamedTuple

from benchmate.craft.thread.packing.columns import NEVER, SCALE, Aim, Duals, Worth
from benchmate.craft.thread.packing.problem import Bin, Problem

MOST_KEPT = 400_000
"""So many dead ends are remembered."""


class Filling(NamedTuple):
    """A filling, how much dearer than its worth it is, scaled, and how much of its source is left."""

    dearer: int
    left: int
    bin: Bin


def room_to_leave(problem: Problem, opened: int) -> int:
    """How much the sources together can leave when no more than this is opened."""
    room = -problem.volume
    for stock, own in zip(problem.stocks, problem.rooms, strict=True):
        room += own * (min(stock.many, opened // stock.price) if stock.price else stock.many)
    return room


def fillings(problem: Problem, duals: Duals, aim: Aim, most: int, leave: int, limit: int) -> list[Filling] | None:
    """Every filling at most so much dearer than its worth that leaves at most so much of its source.

    None when there are more than `limit`.
    """
    worth = Worth(problem, duals.sizes)
    prices: list[list[int]] = []
    for at, stock in enumerate(problem.stocks):
        base = -duals.stocks[at] - duals.opened * stock.price
        if aim.opened is None:
            base += stock.price * SCALE
            prices.append([base] * (problem.rooms[at] + 1))
        else:
            own = [base + problem.waste(at, fill) * SCALE for fill in range(problem.rooms[at] + 1)]
            for fill in range(problem.rooms[at], -1, -1):
                if not problem.is_ended(at, fill):
                    break
                own[fill] -= duals.ended
            prices.append(own)
    found: list[Filling] = []
    for fill in range(1, max(problem.rooms) + 1):
        asked = [(price[fill], at) for at, price in enumerate(prices) if fill < len(price) <= fill + leave + 1]
        if not asked:
            continue
        least = min(asked)[0] - most
        for counts in _counts(problem, duals, worth, fill, least, limit - len(found)):
            value = sum(dual * count for dual, count in zip(duals.sizes, counts, strict=True) if count)
            found += [
                Filling(price - value, problem.rooms[at] - fill, Bin(at, counts))
                for price, at in asked
                if price - value <= most
            ]
        if len(found) > limit:
            return None
    return sorted(found)


def _counts(
    problem: Problem, duals: Duals, worth: Worth, fill: int, least: int, limit: int
) -> Iterator[tuple[int, ...]]:
    """Lengths of just this fill that are worth at least so much; one more than `limit` at most."""
    sizes, demand, suffixes = problem.sizes, problem.demand, worth.suffixes
    if suffixes[0][fill] < least or suffixes[0][fill] <= NEVER // 2:
        return
    counts = [0] * len(sizes)
    given = 0
    # What is open: the kind to decide on, how many of it, what is left to fill and how much it must be worth.
    stack = [(0, 0, fill, least)]
    while stack:
        kind, many, left, wanted = stack.pop()
        if kind:
            counts[kind - 1] = many
        if not left:
            yield (*counts[:kind], *([0] * (len(sizes) - kind)))
            given += 1
            if given > limit:
                return
            continue
        suffix, size, dual = suffixes[kind + 1], sizes[kind], duals.sizes[kind]
        for count in range(min(demand[kind], left // size) + 1):
            rest, value = left - count * size, wanted - count * dual
            if suffix[rest] >= value and suffix[rest] > NEVER // 2:
                stack.append((kind + 1, count, rest, value))


class Cover:
    """Looks for a packing that costs at most `target`, among fillings that hold all such packings.

    An offcut that there is one of holds one of its fillings, or is left alone, which costs what it is worth.
    """

    def __init__(self, problem: Problem, aim: Aim, duals: Duals, target: int, found: list[Filling]) -> None:
        self._problem, self._aim, self._target = problem, aim, target
        self._room = target * SCALE - duals.bound
        self._leave = room_to_leave(problem, target if aim.opened is None else aim.opened)
        nothing = (0,) * len(problem.sizes)
        self._single = [at for at, stock in enumerate(problem.stocks) if stock.many == 1 and not stock.price]
        alone = [Filling(-duals.stocks[at], problem.rooms[at], Bin(at, nothing)) for at in self._single]
        found = sorted(found + alone)
        self._lefts = [each.left for each in found]
        self._bins = [each.bin for each in found]
        self._dearer = [each.dearer for each in found]
        kinds = range(len(problem.sizes))
        self._has = [0] * len(problem.sizes)
        # For each kind, the fillings with more of it than so many.
        self._over: list[list[int]] = [[0] * many for many in problem.demand]
        self._of_stock = [0] * len(problem.stocks)
        for at, (stock, counts) in enumerate(self._bins):
            self._of_stock[stock] |= 1 << at
            for kind in kinds:
                if counts[kind]:
                    self._has[kind] |= 1 << at
                    for many in range(counts[kind]):
                        self._over[kind][many] |= 1 << at
        # The fillings that leave at most so much, for each that one of them leaves.
        self._left_over = sorted(set(self._lefts))
        self._leaving = [0]
        place = {left: at for at, left in enumerate(self._left_over)}
        own = [0] * len(place)
        for at, left in enumerate(self._lefts):
            own[place[left]] |= 1 << at
        for mask in own:
            self._leaving.append(self._leaving[-1] | mask)
        self._failed: dict[tuple[tuple[int, ...], tuple[int, ...]], int] = {}
        self.nodes = 0

    def search(self, limit: int | None, told: Callable[[], None]) -> list[Bin] | None:
        """A packing; None when there is none, or when the limit is reached (`nodes` is then over it)."""
        problem = self._problem
        left = list(problem.demand)
        opened = self._target if self._aim.opened is None else self._aim.opened
        available = [min(each.many, opened // each.price) if each.price else each.many for each in problem.stocks]
        chosen: list[int] = []
        # For every filling chosen so far: those not tried in its place, all that can be chosen there, room before it.
        first = self._open((1 << len(self._bins)) - 1, left, available, self._room, self._leave)
        if first is None:
            return None
        stack = [[*first, self._room, self._leave]]
        while stack:
            level = stack[-1]
            if len(chosen) == len(stack):
                self._put_back(chosen.pop(), left, available)
            tried, alive, room, leave = level
            if not tried:
                self._fail(left, available, room)
                stack.pop()
                continue
            at = (tried & -tried).bit_length() - 1
            level[0] = tried & (tried - 1)
            level[1] = alive & ~(1 << at)
            self.nodes += 1
            if not self.nodes % 2000:
                told()
            if limit is not None and self.nodes > limit:
                return None
            alive = self._take(at, alive, left, available)
            chosen.append(at)
            rest, remains = room - self._dearer[at], leave - self._lefts[at]
            if not any(left):
                bins = [self._bins[each] for each in chosen if any(self._bins[each].counts)]
                if self._good(bins):
                    return bins
                continue
            if self._known(left, available, rest):
                continue
            opening = self._open(alive, left, available, rest, remains)
            if opening is not None:
                stack.append([*opening, rest, remains])
        return None

    def _good(self, bins: list[Bin]) -> bool:
        cost = self._problem.cost(bins)
        if self._aim.opened is None:
            return cost.opened <= self._target
        return cost.opened <= self._aim.opened and cost.waste <= self._target

    def _open(self, alive: int, left: list[int], available: list[int], room: int, leave: int) -> tuple[int, int] | None:
        """The fillings for the length or offcut that has the fewest, and all that are left; None when one has none."""
        alive &= (1 << bisect_right(self._dearer, room)) - 1
        alive &= self._leaving[bisect_right(self._left_over, leave)]
        fewest, chosen = -1, 0
        wanted = [self._has[kind] for kind, many in enumerate(left) if many]
        wanted += [self._of_stock[at] for at in self._single if available[at]]
        for each in wanted:
            own = alive & each
            count = own.bit_count()
            if not count:
                return None
            if fewest < 0 or count < fewest:
                fewest, chosen = count, own
                if count == 1:
                    break
        return chosen, alive

    def _take(self, at: int, alive: int, left: list[int], available: list[int]) -> int:
        stock, counts = self._bins[at]
        available[stock] -= 1
        if not available[stock]:
            alive &= ~self._of_stock[stock]
        for kind, count in enumerate(counts):
            if count:
                left[kind] -= count
                over = self._over[kind]
                if left[kind] < len(over):
                    alive &= ~over[left[kind]]
        return alive

    def _put_back(self, at: int, left: list[int], available: list[int]) -> None:
        stock, counts = self._bins[at]
        available[stock] += 1
        for kind, count in enumerate(counts):
            left[kind] += count

    def _known(self, left: list[int], available: list[int], room: int) -> bool:
        return self._failed.get((tuple(left), tuple(available)), NEVER) >= room

    def _fail(self, left: list[int], available: list[int], room: int) -> None:
        # What is left and available says what was spent but for the room, and with less room nothing more is found.
        key = tuple(left), tuple(available)
        if len(self._failed) < MOST_KEPT and self._failed.get(key, NEVER) < room:
            self._failed[key] = room
