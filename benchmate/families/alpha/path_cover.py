"""The fewest paths through numbered nodes, and among equally few the cheapest, with only so many open at once: exact.

A path is open from its first node to its last. Think of hooks that go through the nodes in order: from a node a hook
goes either to the node that follows on its path, for a price, or back to the store, from where a later node takes it to
begin a path, for the price of that. So many paths are open at once as hooks are needed. This is a flow, and a cheapest
flow with one more hook differs from a cheapest one by one cheapest way from the first store to the last, on which each
move may also be taken back. One hook goes through all nodes in turn; further ones are added until no more pays.
"""

from array import array
from collections.abc import Iterator, Sequence
from functools import cached_property
from heapq import heappop, heappush
from typing import NamedTuple

NONE = -1
"""No node."""
_FAR = 1 << 100


class Earlier(NamedTuple):
    """The nodes that a node can follow, all earlier ones, and the price of following each."""

    nodes: Sequence[int]
    prices: Sequence[int]


def cheapest_cover(nodes: Sequence[Earlier], begin: int, most: int | None = None) -> list[int]:
    """For every node the node it follows, or NONE where a path begins; at most `most` paths, from 1, are open at once.

    `nodes` says what each node can follow. `begin` is the price of beginning a path: above any sum of prices, so that
    the fewest begin.
    """
    if most is not None:
        return _cover(nodes, begin, most)
    before = [NONE] * len(nodes)
    index = [0] * len(nodes)
    parts = _parts(nodes)
    if len(parts) == 1:
        return _cover(nodes, begin, len(nodes))
    for part in parts:
        # Nodes that nothing joins are in each other's way only where hooks are few.
        for at, node in enumerate(part):
            index[node] = at
        within = [Earlier(array("l", map(index.__getitem__, nodes[node].nodes)), nodes[node].prices) for node in part]
        for node, at in zip(part, _cover(within, begin, len(part)), strict=True):
            before[node] = NONE if at == NONE else part[at]
    return before


def _parts(nodes: Sequence[Earlier]) -> list[list[int]]:
    """The nodes in parts that nothing joins, each part in order."""
    above = list(range(len(nodes)))

    def root(node: int) -> int:
        while above[node] != node:
            above[node] = node = above[above[node]]
        return node

    for node, earlier in enumerate(nodes):
        own = root(node)
        for other in earlier.nodes:
            above[root(other)] = own
    parts: dict[int, list[int]] = {}
    for node in range(len(nodes)):
        parts.setdefault(root(node), []).append(node)
    return list(parts.values())


def _cover(nodes: Sequence[Earlier], begin: int, most: int) -> list[int]:
    hooks = _Hooks(nodes, begin)
    # As many hooks as paths are enough for any cover with so many paths.
    while hooks.count < min(most, hooks.before.count(NONE)) and hooks.add_one():
        pass
    return hooks.before


class _Hooks:
    """A cheapest flow of so many hooks.

    `before[n]` is the node whose hook node n has (NONE: it is from the store), `_after[n]` the node that has the hook
    of n next (NONE: the store), `_paid[n]` the price of the hook that n has, and `_idle[n]` how many hooks lie in the
    store meanwhile. Places of hooks are numbered: n is behind node n, and size + n the store before node n. A hook that
    comes to a node sets another one free, which goes on from `_instead[n]`. `_costs` are what a hook costs at each
    place, such that no move makes it cheaper: that proves the flow the cheapest.
    """

    def __init__(self, nodes: Sequence[Earlier], begin: int) -> None:
        self.count = 1
        self._size, self._begin = len(nodes), begin
        self._later = [(array("l"), array("q")) for _ in nodes]
        self.before, self._paid = [NONE] * self._size, [begin] * self._size
        for node, earlier in enumerate(nodes):
            for other, price in zip(*earlier, strict=True):
                self._later[other][0].append(node)
                self._later[other][1].append(price)
                if other == node - 1:
                    self.before[node], self._paid[node] = other, price
        self._after = [NONE if follows == NONE else node for node, follows in enumerate([*self.before[1:], NONE], 1)]
        self._instead = [self._size + node if follows == NONE else follows for node, follows in enumerate(self.before)]
        self._idle = [0] * self._size

    @cached_property
    def _costs(self) -> list[int]:
        """At first the costs with one hook: node after node, as moves lead back no further than to the node before."""
        size, costs = self._size, [_FAR] * (2 * self._size + 1)
        costs[size] = 0
        for node in range(size + 1):
            store, behind = size + node, node - 1
            if node:
                costs[store] = min(costs[store], costs[store - 1])
                if self._after[behind] == NONE:
                    costs[behind] = min(costs[behind], costs[store])
                else:
                    costs[store] = min(costs[store], costs[behind])
                    costs[behind] = min(costs[behind], costs[store] + self._begin - self._paid[node])
                for later, price in zip(*self._later[behind], strict=True):
                    there = self._instead[later]
                    costs[there] = min(costs[there], costs[behind] + price - self._paid[later])
        return costs

    def add_one(self) -> bool:
        """Adds a hook; False, and nothing has changed, when that does not pay."""
        size, costs, instead = self._size, self._costs, self._instead
        # What a hook saves at a node that another one comes to.
        saved = [paid + costs[there] for paid, there in zip(self._paid, instead, strict=True)]
        first, last = size, 2 * size
        far = [_FAR] * (2 * size + 1)
        # For each place the one before it on the way, and the node that a hook came to in between, if any.
        origin, through = [NONE] * (2 * size + 1), [NONE] * (2 * size + 1)
        far[first] = 0
        heap = [(0, first)]
        while heap:
            so_far, place = heappop(heap)
            if so_far > far[place]:
                continue
            if place == last:
                break
            base = so_far + costs[place]
            if place < size:
                for node, price in zip(*self._later[place], strict=True):
                    distance = base + price - saved[node]
                    there = instead[node]
                    if distance < far[there]:
                        far[there], origin[there], through[there] = distance, place, node
                        heappush(heap, (distance, there))
            for there, cost, node in self._other_moves(place):
                distance = base + cost - costs[there]
                if distance < far[there]:
                    far[there], origin[there], through[there] = distance, place, node
                    heappush(heap, (distance, there))
        most = far[last]
        self._costs = [cost + min(distance, most) for cost, distance in zip(costs, far, strict=True)]
        if self._costs[last] >= 0:
            return False
        way = [last]
        while way[-1] != first:
            way.append(origin[way[-1]])
        self._move([(origin[place], through[place], place) for place in reversed(way[:-1])])
        self.count += 1
        return True

    def _other_moves(self, place: int) -> Iterator[tuple[int, int, int]]:
        """From a place, all moves but those to a later node: where the hook goes on from, the cost, and the node."""
        size = self._size
        if place < size:
            if self._after[place] != NONE:
                yield size + place + 1, 0, NONE
            return
        node = place - size
        if node < size:
            yield place + 1, 0, NONE
            if self.before[node] != NONE:
                yield self.before[node], self._begin - self._paid[node], node
        if node:
            if self._idle[node - 1]:
                yield place - 1, 0, NONE
            if self._after[node - 1] == NONE:
                yield node - 1, 0, NONE

    def _move(self, moves: Sequence[tuple[int, int, int]]) -> None:
        """Makes moves one after the other, each from a place, to a node or NONE, and on from another place."""
        size = self._size
        for here, node, there in moves:
            if node != NONE:
                follows = here if here < size else NONE
                self.before[node] = follows
                self._instead[node] = size + node if follows == NONE else follows
                if follows == NONE:
                    self._paid[node] = self._begin
                else:
                    later, prices = self._later[follows]
                    self._paid[node] = prices[later.index(node)]
                    self._after[follows] = node
            elif here < size:
                self._after[here] = NONE
            elif there == here + 1:
                self._idle[here - size] += 1
            elif there == here - 1:
                self._idle[there - size] -= 1


def paths(before: Sequence[int]) -> Iterator[int]:
    """For every node the number of its path, from 0 in the order in which the paths begin."""
    numbers: list[int] = []
    begun = 0
    for other in before:
        if other == NONE:
            numbers.append(begun)
            begun += 1
        else:
            numbers.append(numbers[other])
        yield numbers[-1]
