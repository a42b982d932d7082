"""The exact search among fillings by branching: each branch is bounded by the linear program of what is left.

The program's numbers are floats and only propose duals. A branch is given up, and a filling is left out of it, only
where whole numbers prove that nothing in it costs so little.
"""

from collections import Counter
from collections.abc import Callable

from benchmate.craft.thread.packing.columns import SCALE, Aim, Duals
from benchmate.craft.thread.packing.covering import Filling
from benchmate.craft.thread.packing.problem import Bin, Problem

TINY, NEAR = 1e-7, 1e-4
"""The floats of the program are trusted to so much: less is nothing; nearer to a whole number is whole."""
MOST_PIVOTS = 400
"""So often the basis is changed in one branch; where that is not enough it is split as it is."""
SPLIT = 0.7
"""A length that is in a source by about so much is put there whole, or kept out of it."""


class Node:
    """What is left of the problem in a branch, and the program at its last basis."""

    def __init__(self, left: list[int], alive: list[int], spent: int, chosen: tuple[int, ...]) -> None:
        self.left, self.alive, self.spent, self.chosen = left, alive, spent, chosen
        self.inverse: list[list[float]] = []
        self.basis: list[int] = []
        self.values: list[float] = []
        self.reduced: list[float] = []
        self.duals: list[float] = []
        self.cost = 0.0

    def copied(self) -> "Node":
        """Another node with the same basis. Rows of the inverse are never changed in place."""
        node = Node(self.left[:], self.alive, self.spent, self.chosen)
        node.inverse, node.basis, node.values = self.inverse[:], self.basis[:], self.values[:]
        node.reduced, node.duals = self.reduced[:], self.duals
        return node


class Branching:
    """Looks for the cheapest packing that costs at most `target`, among fillings that hold all such packings."""

    def __init__(self, problem: Problem, aim: Aim, duals: Duals, target: int, found: list[Filling]) -> None:
        self._problem, self._aim, self._bound = problem, aim, duals.bound
        self._room = target * SCALE - duals.bound
        self._kinds, self._many = len(problem.sizes), len(found)
        self._fixed_rows = self._kinds + (aim.opened is not None)
        self._bins = [each.bin for each in found]
        # A column: each row so often as it counts there; first the kinds and what is opened, the stock last.
        self._rows: list[tuple[int, ...]] = []
        for stock, counts in self._bins:
            rows = [kind for kind, count in enumerate(counts) for _ in range(count)]
            if aim.opened is not None:
                rows += [self._kinds] * problem.stocks[stock].price
            self._rows.append((*rows, self._fixed_rows + stock))
        self._rows += [(self._fixed_rows + stock,) for stock in range(len(problem.stocks))]
        self._dearer = [each.dearer for each in found] + [-dual for dual in duals.stocks]
        self._stock_of = [each.bin.stock for each in found] + [*range(len(problem.stocks))]
        self._costs = [dearer / SCALE for dearer in self._dearer]
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
            self._solve(node)
            if self._is_off(node):
                self._begin(node)
                self._solve(node)
            self.work += 10 * len(node.alive)
            if not self._is_lost(node):
                stack += self._split(node)
        return self.best

    def _first(self) -> Node:
        """The whole problem; what is left of each row, in the order of the rows."""
        problem, opened = self._problem, self._aim.opened
        left = list(problem.demand)
        if opened is not None:
            left.append(opened)
        for stock in problem.stocks:
            many = min(stock.many, problem.pieces)
            if opened is not None and stock.price:
                many = min(many, opened // stock.price)
            left.append(many)
        # A little more of every cost, so that the method never goes in a circle.
        self._costs = [cost + 1e-6 * (1 + at * 7919 % 1013 / 1013) for at, cost in enumerate(self._costs)]
        node = Node(left, [*range(len(self._rows))], 0, ())
        self._begin(node)
        return node

    def _begin(self, node: Node) -> None:
        """The basis to begin with: in every row a column of its own, that may not stay."""
        left = node.left
        rows = len(left)
        node.inverse = [[float(row == column) for column in range(rows)] for row in range(rows)]
        node.basis = [-1] * rows
        node.values = [float(each) for each in left]
        node.reduced = self._costs[:]
        node.duals = [0.0] * rows

    def _with(self, node: Node, at: int) -> Node:
        """The branch that has this filling once more."""
        child = node.copied()
        rows, left = self._rows[at], child.left
        for row in rows:
            left[row] -= 1
        child.spent += self._dearer[at]
        child.chosen = (*node.chosen, at)
        touched = set(rows)
        over = {row: left[row] for row in touched}
        child.alive = [
            each
            for each in node.alive
            if touched.isdisjoint(self._rows[each])
            or all(self._rows[each].count(row) <= most for row, most in over.items())
        ]
        for place, line in enumerate(child.inverse):
            child.values[place] -= sum([line[row] for row in rows])
        return child

    def _solve(self, node: Node) -> None:
        """The dual simplex method, until the program is solved or costs too much."""
        rows_of, costs = self._rows, self._costs
        inverse, basis, values, reduced = node.inverse, node.basis, node.values, node.reduced
        alive = node.alive
        living = bytearray(len(rows_of) + 1)
        for at in alive:
            living[at] = 1
        room = self._room / SCALE
        rows = len(values)
        spent = node.spent / SCALE
        cost = spent + sum([costs[at] * value for at, value in zip(basis, values, strict=True) if at >= 0])
        duals = node.duals[:]
        for _ in range(MOST_PIVOTS):
            if cost > room + 1e-3:
                break
            out, worst = -1, TINY
            for place, value in enumerate(values):
                wrong = -value if value < 0 else 0.0 if living[basis[place]] else value
                if wrong > worst:
                    out, worst = place, wrong
            if out < 0:
                break
            line = inverse[out]
            sign = -1.0 if values[out] < 0 else 1.0
            get = line.__getitem__
            alphas = [sum(map(get, rows_of[at])) * sign for at in alive]
            # Of those that are about equally cheap the one whose number is largest: divided by it, floats stay exact.
            able = [(alpha, at) for at, alpha in zip(alive, alphas, strict=True) if alpha > TINY]
            most = min([(reduced[at] + TINY) / alpha for alpha, at in able], default=0.0)
            largest, entering = max([each for each in able if reduced[each[1]] <= most * each[0]], default=(0.0, -1))
            self.work += rows * rows + 4 * len(alive)
            if entering < 0:
                # It cannot be solved: with ever more of this row the bound grows without end.
                least = (room - cost + 2.0) / worst
                duals = [dual + sign * least * each for dual, each in zip(duals, line, strict=True)]
                cost += least * worst
                break
            least = max(reduced[entering] / largest, 0.0)
            cost += least * worst
            if least:
                duals = [dual + sign * least * each for dual, each in zip(duals, line, strict=True)]
                for at, alpha in zip(alive, alphas, strict=True):
                    reduced[at] -= least * alpha
            entries = rows_of[entering]
            column = [sum([each[row] for row in entries]) for each in inverse]
            pivot = column[out]
            step = values[out] / pivot
            new = [each / pivot for each in line]
            for place, each in enumerate(column):
                if place != out and each:
                    inverse[place] = [a - each * b for a, b in zip(inverse[place], new, strict=True)]
                    values[place] -= step * each
            inverse[out] = new
            values[out] = step
            basis[out] = entering
            reduced[entering] = 0.0
        node.duals = duals
        node.cost = cost

    def _is_off(self, node: Node) -> bool:
        """True when the floats no longer agree, and the program must begin again."""
        proven = sum([dual * many for dual, many in zip(node.duals, node.left, strict=True)])
        return abs(node.spent / SCALE + proven - node.cost) > NEAR * max(1.0, abs(node.cost))

    def _is_lost(self, node: Node) -> bool:
        """True when nothing in this branch costs so little; what no such packing holds is left out of it."""
        whole = [round(dual * SCALE) for dual in node.duals[: self._fixed_rows]]
        stocks = len(self._problem.stocks)
        whole += [0] * stocks
        rows_of, dearer, stock_of = self._rows, self._dearer, self._stock_of
        get = whole.__getitem__
        more = [dearer[at] - sum(map(get, rows_of[at])) for at in node.alive]
        least: dict[int, int] = {}
        for at, each in zip(node.alive, more, strict=True):
            stock = stock_of[at]
            if each < least.get(stock, each + 1):
                least[stock] = each
        total = node.spent + sum([dual * many for dual, many in zip(whole, node.left, strict=True)])
        for stock in range(stocks):
            many = node.left[self._fixed_rows + stock]
            if many:
                if stock not in least:
                    return True
                total += many * least[stock]
        room = self._room - total
        if room < 0:
            return True
        node.alive = [at for at, each in zip(node.alive, more, strict=True) if each - least[stock_of[at]] <= room]
        return False

    def _split(self, node: Node) -> list[Node]:
        """The branches of a node, the first to look at last; where the program takes all whole, that is a packing."""
        taken = zip(node.values, node.basis, strict=True)
        amounts = [(value, at) for value, at in taken if 0 <= at < self._many and value > TINY]
        if all(abs(value - round(value)) < NEAR for value, _ in amounts):
            bins = [self._bins[at] for at in node.chosen]
            bins += [self._bins[at] for value, at in amounts for _ in range(round(value))]
            if self._holds(bins):
                self.best = bins
                self._room = (self._paid(bins) - 1) * SCALE - self._bound
                if self._is_lost(node):
                    return []
        pair = self._pair(node, amounts)
        if pair is not None:
            return self._apart(node, *pair)
        alive = {at for at in node.alive if at < self._many}
        parts = [(value - int(value + TINY), -self._dearer[at], at) for value, at in amounts if at in alive]
        if not parts and not alive:
            return []
        at = max(parts)[2] if parts else min(alive, key=node.reduced.__getitem__)
        without = node.copied()
        without.alive = [each for each in node.alive if each != at]
        return [without, self._with(node, at)]

    def _pair(self, node: Node, amounts: list[tuple[float, int]]) -> tuple[int, int] | None:
        """A length and a source, one there is of each, where the program has a part of the one in the other."""
        together: dict[tuple[int, int], float] = {}
        for value, at in amounts:
            stock = self._stock_of[at]
            if node.left[self._fixed_rows + stock] == 1:
                for kind in set(self._rows[at][:-1]):
                    if kind < self._kinds and node.left[kind] == 1:
                        together[kind, stock] = together.get((kind, stock), 0.0) + value
        broken = [(abs(value - SPLIT), pair) for pair, value in together.items() if NEAR < value < 1 - NEAR]
        return min(broken)[1] if broken else None

    def _apart(self, node: Node, kind: int, stock: int) -> list[Node]:
        """The branch that has the length elsewhere, and the one that has it in this source."""
        inside, outside = node.copied(), node.copied()
        has = [kind in self._rows[at][:-1] for at in node.alive]
        own = [self._stock_of[at] == stock for at in node.alive]
        inside.alive = [at for at, a, b in zip(node.alive, has, own, strict=True) if a == b]
        outside.alive = [at for at, a, b in zip(node.alive, has, own, strict=True) if not (a and b)]
        return [outside, inside]

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
