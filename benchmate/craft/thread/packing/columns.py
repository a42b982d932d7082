"""The bound of a linear program over all fillings of all stocks, by column generation, proven in whole numbers."""

from collections.abc import Callable, Sequence
from math import ceil
from typing import NamedTuple

from benchmate.craft.thread.packing.problem import Bin, Problem
from benchmate.craft.thread.packing.simplex import Simplex

SCALE = 1 << 24
"""Duals are whole numbers of one part in so many."""
NEVER = -(1 << 62)
NEAR = 1e-4
"""The floats of the program are trusted to so much of what is counted."""


class Aim(NamedTuple):
    """What is to be least: what is opened, or, with what is opened held at `opened`, what is left in short ends."""

    opened: int | None = None


class Duals(NamedTuple):
    """What each size, each stock (never above 0) and each unit opened is worth, scaled; and the bound this proves.

    A packing costs the bound, and beyond that what each of its fillings is dearer than its worth.
    """

    sizes: tuple[int, ...]
    stocks: tuple[int, ...]
    opened: int
    bound: int

    @property
    def least(self) -> int:
        """The least that any packing costs."""
        return -(-self.bound // SCALE)


class Worth:
    """For every fill, the most that lengths of just that fill are worth, and which lengths these are."""

    def __init__(self, problem: Problem, duals: Sequence[int]) -> None:
        self._sizes = problem.sizes
        room = max(problem.rooms)
        best = [0] + [NEVER] * room
        self.suffixes = [best]
        self._steps: list[tuple[int, int, list[int]]] = []
        for kind in range(len(problem.sizes) - 1, -1, -1):
            size, left, lump = problem.sizes[kind], min(problem.demand[kind], room // problem.sizes[kind]), 1
            while left:
                many = min(lump, left)
                self._steps.append((kind, many, best))
                best = _with(best, many * size, many * duals[kind])
                left -= many
                lump *= 2
            self.suffixes.append(best)
        self.best = best
        self.suffixes.reverse()

    def counts(self, fill: int) -> tuple[int, ...]:
        """The lengths that are worth most at this fill."""
        counts = [0] * len(self._sizes)
        now = self.best
        for kind, many, before in reversed(self._steps):
            if now[fill] != before[fill]:
                counts[kind] += many
                fill -= many * self._sizes[kind]
            now = before
        return tuple(counts)


def _with(best: list[int], size: int, worth: int) -> list[int]:
    if size >= len(best):
        return best
    return best[:size] + [
        old if old >= new + worth else new + worth for old, new in zip(best[size:], best, strict=False)
    ]


class Columns:
    """Fillings as columns of a linear program; more are added while they make it cheaper."""

    def __init__(self, problem: Problem, aim: Aim) -> None:
        self._problem, self._aim = problem, aim
        kinds = len(problem.sizes)
        self._limited = [
            at for at, stock in enumerate(problem.stocks) if stock.many < problem.pieces and problem.rooms[at]
        ]
        self._row_of = {at: kinds + number for number, at in enumerate(self._limited)}
        self._opened_row = kinds + len(self._limited)
        right: list[float] = [float(many) for many in problem.demand]
        right += [float(problem.stocks[at].many) for at in self._limited]
        dearest = max(stock.price for stock in problem.stocks)
        if aim.opened is not None:
            right.append(float(aim.opened))
            dearest = max(problem.scrap, 1)
        self._right = right
        # A little more of every row, so that no two bases are equally good and the method never goes in a circle.
        right = [each + 1e-5 * (1 + row * 7919 % 1013 / 1013) for row, each in enumerate(right)]
        self._program = Simplex(right, 20.0 * dearest)
        self._bins: list[Bin | None] = []
        self._known: set[Bin] = set()
        for at in self._limited:
            self._program.add(0.0, [(self._row_of[at], 1.0)])
            self._bins.append(None)

    def add(self, bins: Sequence[Bin]) -> bool:
        """Adds fillings; true when one was new."""
        new = False
        for each in bins:
            if each not in self._known:
                self._known.add(each)
                self._bins.append(each)
                self._program.add(self._cost(each.stock, self._problem.fill(each.counts)), self._entries(each))
                new = True
        return new

    def amounts(self) -> list[tuple[float, Bin]]:
        """How much of each filling the program takes."""
        found = [(value, self._bins[column]) for column, value in self._program.amounts().items()]
        return [(value, each) for value, each in found if each is not None]

    @property
    def bins(self) -> list[Bin]:
        """All fillings so far."""
        return [each for each in self._bins if each is not None]

    @property
    def work(self) -> int:
        """How much work it took."""
        return self._program.work

    def improve(self, work: int, enough: int, told: Callable[[], None]) -> Duals:
        """Adds fillings until none makes it cheaper, the work is done, or the bound proves `enough`."""
        problem = self._problem
        steps = max(problem.rooms) * len(problem.sizes) // 4
        best: Duals | None = None
        while best is None or self._program.work < work:
            self._program.solve(4 * self._program.rows)
            self._program.work += steps
            duals, bins = self._priced()
            if best is None or duals.bound > best.bound:
                best = duals
            told()
            # What the program costs now is the most that any bound can prove.
            costs_now = sum(dual * each for dual, each in zip(self._program.duals, self._right, strict=True))
            final = best.least >= ceil(costs_now - NEAR)
            if best.least >= enough or final or not self.add(bins):
                break
        return best

    def _cost(self, stock: int, fill: int) -> float:
        if self._aim.opened is None:
            return float(self._problem.stocks[stock].price)
        return float(self._problem.waste(stock, fill))

    def _entries(self, each: Bin) -> list[tuple[int, float]]:
        entries = [(kind, float(count)) for kind, count in enumerate(each.counts) if count]
        if each.stock in self._row_of:
            entries.append((self._row_of[each.stock], 1.0))
        price = self._problem.stocks[each.stock].price
        if self._aim.opened is not None and price:
            entries.append((self._opened_row, float(price)))
        return entries

    def _priced(self) -> tuple[Duals, list[Bin]]:
        """The bound of the duals as they are, and the fillings that are cheaper than their worth."""
        problem, aim, program = self._problem, self._aim, self._program
        whole = [round(dual * SCALE) for dual in program.duals]
        kinds = len(problem.sizes)
        opened = whole[self._opened_row] if aim.opened is not None else 0
        sizes = whole[:kinds]
        worth = Worth(problem, sizes)
        bound = sum(dual * many for dual, many in zip(sizes, problem.demand, strict=True))
        bound += opened * (aim.opened or 0)
        stocks: list[int] = []
        bins: list[tuple[int, Bin]] = []
        for at, stock in enumerate(problem.stocks):
            least, fills = self._cheapest(at, worth, opened)
            many = min(stock.many, problem.pieces)
            if aim.opened is not None and stock.price:
                many = min(many, aim.opened // stock.price)
            stocks.append(min(0, least))
            bound += many * stocks[-1]
            charged = whole[self._row_of[at]] if at in self._row_of else 0
            # Fillings that the program itself takes for too dear are not offered to it.
            found = [(dearer - charged, fill) for dearer, fill in fills if dearer - charged < -SCALE // 1_000_000]
            bins += [(dearer, Bin(at, worth.counts(fill))) for dearer, fill in found]
        bins.sort()
        return Duals(tuple(sizes), tuple(stocks), opened, bound), [each for _, each in bins[:40]]

    def _cheapest(self, at: int, worth: Worth, opened: int) -> tuple[int, list[tuple[int, int]]]:
        """How much the cheapest filling of a stock is dearer than its worth, and the fills of the cheapest few."""
        problem = self._problem
        room, stock = problem.rooms[at], problem.stocks[at]
        best = worth.best
        if self._aim.opened is None:
            dearer = [stock.price * SCALE - value for value in best[1 : room + 1]]
        else:
            base = -opened * stock.price
            dearer = [base - value for value in best[1 : room + 1]]
            for fill in range(max(1, (stock.length - problem.scrap) // problem.unit), room + 1):
                dearer[fill - 1] += problem.waste(at, fill) * SCALE
        least = min(dearer)
        few = 8 if stock.many >= problem.pieces else 1
        if few == 1:
            return least, [(least, dearer.index(least) + 1)]
        order = sorted(range(len(dearer)), key=dearer.__getitem__)[:few]
        return least, [(dearer[fill], fill + 1) for fill in order]
