"""The exact search among fillings by branching: each branch is bounded by the linear program of what is left.

The program's numbers are floats and only propose duals. A branch is given up, and a filling is left out of it, only
where whole numbers prove that nothing in it costs so little.
"""

from collections import Counter
from collections.abc import Callable

from benchmate.craft.thread.packing.columns import SCALE, Aim, Duals, sources_cut
from benchmate.craft.thread.packing.covering import Filling
from benchmate.craft.thread.packing.problem import Bin, Problem
from benchmate.craft.thread.packing.simplex import Program, Table

TINY, NEAR = 1e-7, 1e-4
"""The floats of the program are trusted to so much: less is nothing; nearer to a whole number is whole."""
MOST_PIVOTS = 400
"""So often the basis is changed in one branch; where that is not enough it is split as it is."""
FEW_PIVOTS, DEEP, MOST_TRIED = 10, 4, 4
"""So often the basis is changed to try a branching; down to which depth that is done; how many of each sort."""


class Node:
    """A branch: what is left of each row and of each set, what is chosen and paid, and the program of the rest."""

    def __init__(self, left: list[int], limits: list[int], program: Program) -> None:
        self.left, self.limits, self.program = left, limits, program
        self.spent, self.depth = 0, 0
        self.chosen: tuple[int, ...] = ()

    def among(self, alive: list[int]) -> "Node":
        """The branch that has only these columns."""
        node = Node(self.left, self.limits, self.program.copied())
        node.program.alive = alive
        node.spent, node.chosen, node.depth = self.spent, self.chosen, self.depth + 1
        return node


class Branching:
    """Looks for the cheapest packing that costs at most `target`, among fillings that hold all such packings.

    Branches are split by how many sources have a short end or none, then by whether a source is one of them, then by
    whether a length is in a source, and last by fillings.
    """

    def __init__(self, problem: Problem, aim: Aim, duals: Duals, target: int, found: list[Filling]) -> None:
        self._problem, self._aim, self._bound = problem, aim, duals.bound
        self._room = target * SCALE - duals.bound
        self._kinds, self._stocks = len(problem.sizes), len(problem.stocks)
        opened = target if aim.opened is None else aim.opened
        self._limits = [sources_cut(problem, opened, at) for at in range(self._stocks)]
        self._ended_row = self._kinds + (aim.opened is not None)
        most = min(sum(self._limits), problem.pieces)
        self._left = [*problem.demand, *(() if aim.opened is None else (aim.opened,)), most]
        self._table = Table(len(self._left), self._stocks + 1, 0.0)
        # The columns besides: what is missing and what is not taken of a set, as in the table.
        self._dearer = [0] * len(self._table.costs)
        for stock, dual in enumerate(duals.stocks):
            self._dearer[self._table.spare(stock)] = -dual
        self._bins: dict[int, Bin] = {}
        for each in found:
            self._bins[len(self._dearer)] = each.bin
            self._table.add(0.0, self._rows(each.bin), each.bin.stock)
            self._dearer.append(each.dearer)
        # One column for each number of sources with a short end or none.
        self._numbers: dict[int, int] = {}
        for number in range(most + 1) if aim.opened is None else range(aim.fewest, aim.most + 1):
            self._numbers[len(self._dearer)] = number
            self._table.add(0.0, (self._ended_row,) * (most - number), self._stocks)
            self._dearer.append(max(-duals.ended * (each - number) for each in (aim.fewest, aim.most)))
        # A little more of every cost, so that the method never goes in a circle.
        self._table.costs[:] = [
            each / SCALE + 1e-6 * (1 + at * 7919 % 1013 / 1013) for at, each in enumerate(self._dearer)
        ]
        self.nodes = 0
        self.settled = True
        self.best: list[Bin] | None = None
        self.work = 0

    def search(self, limit: int, told: Callable[[], None]) -> list[Bin] | None:
        """The cheapest packing found; with `settled`, none is cheaper, or, without one, as cheap as `target`."""
        stack = [self._first()]
        while stack:
            node = stack.pop()
            self.nodes += 1
            if self.nodes % 20 == 0:
                told()
            if self.work > limit:
                self.settled = False
                break
            self._solve(node, MOST_PIVOTS)
            if node.program.is_off(node.left, node.limits):
                node.program = self._begun(node)
                self._solve(node, MOST_PIVOTS)
            if not self._is_lost(node):
                stack += self._split(node)
        return self.best

    def _rows(self, each: Bin) -> list[int]:
        rows = [kind for kind, count in enumerate(each.counts) for _ in range(count)]
        stock = self._problem.stocks[each.stock]
        if self._aim.opened is not None:
            rows += [self._kinds] * stock.price
        if self._problem.is_ended(each.stock, self._problem.fill(each.counts)):
            rows.append(self._ended_row)
        return rows

    def _first(self) -> Node:
        """The whole problem."""
        alive = [self._table.spare(stock) for stock in range(self._stocks)] + [*self._bins, *self._numbers]
        limits = [*self._limits, 1]
        first = [next(at for at in alive if self._table.set_of[at] == own) for own in range(len(limits))]
        node = Node(self._left, limits, Program(self._table, self._left, limits, first))
        node.program.alive = alive
        node.program = self._begun(node)
        return node

    def _begun(self, node: Node) -> Program:
        """The program of a branch from the beginning, with the cheapest column of each set."""
        table = self._table
        cheapest: dict[int, int] = {}
        for at in sorted(node.program.alive, key=table.costs.__getitem__):
            cheapest.setdefault(table.set_of[at], at)
        keys = [cheapest.get(own, key) for own, key in zip(range(table.sets), node.program.keys, strict=False)]
        program = Program(table, node.left, node.limits, keys)
        program.alive = node.program.alive
        return program

    def _solve(self, node: Node, most: int) -> None:
        """Solves the program of a branch, with so many changes of the basis at most."""
        program = node.program
        program.mend(most, (self._room - node.spent) / SCALE + 1e-3)
        self.work += program.work + 10 * len(node.program.alive)
        program.work = 0

    def _with(self, node: Node, at: int) -> Node:
        """The branch that has this filling once more."""
        rows, own = self._table.rows_of[at], self._table.set_of[at]
        left, limits = node.left[:], node.limits[:]
        for row in rows:
            left[row] -= 1
        limits[own] -= 1
        over = {row: left[row] for row in rows}
        rows_of, set_of = self._table.rows_of, self._table.set_of
        alive = [
            each
            for each in node.program.alive
            if (limits[own] or set_of[each] != own)
            and (over.keys().isdisjoint(rows_of[each]) or all(rows_of[each].count(row) <= over[row] for row in over))
        ]
        program = node.program.copied()
        program.without(at)
        program.alive = alive
        child = Node(left, limits, program)
        child.spent, child.chosen, child.depth = node.spent + self._dearer[at], (*node.chosen, at), node.depth + 1
        return child

    def _is_lost(self, node: Node) -> bool:
        """True when nothing in this branch costs so little; what no such packing holds is left out of it."""
        whole = [round(dual * SCALE) for dual in node.program.duals]
        takes, dearer, set_of = self._table.takes, self._dearer, self._table.set_of
        more = [dearer[at] - sum(takes[at](whole)) for at in node.program.alive]
        least: dict[int, int] = {}
        for at, each in zip(node.program.alive, more, strict=True):
            own = set_of[at]
            if each < least.get(own, each + 1):
                least[own] = each
        total = node.spent + sum([dual * many for dual, many in zip(whole[:-1], node.left, strict=True)])
        for own, many in enumerate(node.limits):
            if many:
                if own not in least:
                    return True
                total += many * least[own]
        room = self._room - total
        if room < 0:
            return True
        node.program.alive = [
            at for at, each in zip(node.program.alive, more, strict=True) if each - least[set_of[at]] <= room
        ]
        return False

    def _split(self, node: Node) -> list[Node]:
        """The branches of a node, the first to look at last; where the program takes all whole, that is a packing."""
        amounts = node.program.amounts()
        taken = {at: value for at, value in amounts.items() if at in self._bins}
        if all(abs(value - round(value)) < NEAR for value in taken.values()):
            bins = [self._bins[at] for at in node.chosen]
            bins += [self._bins[at] for at, value in taken.items() for _ in range(round(value))]
            if self._holds(bins):
                self.best = bins
                self._room = (self._paid(bins) - 1) * SCALE - self._bound
                if self._is_lost(node):
                    return []
        return self._by_number(node, taken) or self._by_source(node, amounts) or self._by_filling(node, taken)

    def _by_number(self, node: Node, taken: dict[int, float]) -> list[Node]:
        """The branches with fewer, and with more, sources that have a short end or none."""
        rows_of, row = self._table.rows_of, self._ended_row
        number = sum(value for at, value in taken.items() if row in rows_of[at])
        number += sum(row in rows_of[at] for at in node.chosen)
        below = int(number + NEAR)
        if number - below < NEAR:
            return []
        numbers = self._numbers
        fewer = node.among([at for at in node.program.alive if numbers.get(at, 0) <= below])
        more = node.among([at for at in node.program.alive if numbers.get(at, below + 1) > below])
        return [fewer, more] if number - below > 0.5 else [more, fewer]

    def _by_source(self, node: Node, amounts: dict[int, float]) -> list[Node]:
        """The branches where a source has something, and where it has not; of sources there is only one of."""
        rows_of, set_of, row = self._table.rows_of, self._table.set_of, self._ended_row
        parts: dict[tuple[int, int], float] = {}
        for at, value in amounts.items():
            own = set_of[at]
            if at in self._bins and node.limits[own] == 1:
                for what in set(rows_of[at]):
                    if what == row or (what < self._kinds and node.left[what] == 1):
                        parts[own, what] = parts.get((own, what), 0.0) + value
        broken = sorted((abs(value - 0.5), *pair) for pair, value in parts.items() if NEAR < value < 1 - NEAR)
        ends = [(own, what) for _, own, what in broken if what == row]
        lengths = [(own, what) for _, own, what in broken if what != row]
        if node.depth > DEEP:
            return self._apart(node, *(ends or lengths)[0]) if broken else []
        tried = [self._apart(node, *pair) for pair in ends[:MOST_TRIED] + lengths[:MOST_TRIED]]
        return max(tried, key=lambda both: self._gain(node, both), default=[])

    def _apart(self, node: Node, source: int, what: int) -> list[Node]:
        """The branch that has it elsewhere, and the one that has it in this source: a length, or a short end."""
        rows_of, set_of = self._table.rows_of, self._table.set_of
        has = [what in rows_of[at] for at in node.program.alive]
        here = [set_of[at] == source for at in node.program.alive]
        # A length that is in this source is in no other.
        only = [a == b if what < self._kinds else a or not b for a, b in zip(has, here, strict=True)]
        inside = node.among([at for at, each in zip(node.program.alive, only, strict=True) if each])
        outside = node.among([at for at, a, b in zip(node.program.alive, has, here, strict=True) if not (a and b)])
        return [outside, inside]

    def _gain(self, node: Node, both: list[Node]) -> float:
        """How much dearer both branches are, after a few changes of the basis."""
        gain = 1.0
        for each in both:
            self._solve(each, FEW_PIVOTS)
            gain *= max(each.program.bound - node.program.bound, 0.0) + 1e-3
        return gain

    def _by_filling(self, node: Node, taken: dict[int, float]) -> list[Node]:
        """The branches with a filling once more, and without it."""
        alive = {at for at in node.program.alive if at in self._bins}
        parts = [(value - int(value + TINY), -self._dearer[at], at) for at, value in taken.items() if at in alive]
        if not parts and not alive:
            return []
        at = max(parts)[2] if parts else min(alive, key=node.program.reduced)
        return [node.among([each for each in node.program.alive if each != at]), self._with(node, at)]

    def _paid(self, bins: list[Bin]) -> int:
        cost = self._problem.cost(bins)
        return cost.opened if self._aim.opened is None else cost.waste

    def _holds(self, bins: list[Bin]) -> bool:
        """True when this packs everything and costs little enough, in whole numbers."""
        problem = self._problem
        used = Counter(each.stock for each in bins)
        counts = tuple(sum(own) for own in zip(*(each.counts for each in bins), strict=True))
        if counts != problem.demand or any(many > problem.stocks[at].many for at, many in used.items()):
            return False
        opened = problem.cost(bins).opened
        if self._aim.opened is not None and opened > self._aim.opened:
            return False
        return self._paid(bins) * SCALE - self._bound <= self._room
