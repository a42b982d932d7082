"""The bound of a linear program over all fillings of all stocks, by column generation, proven in whole numbers."""

from collections.abc import Callable, Iterable, Sequence
from math import ceil
from typing import NamedTuple

from benchmate.craft.thread.packing.problem import Bin, Part, Problem
from benchmate.craft.thread.packing.simplex import Program, Table

SCALE = 1 << 24
"""Duals are whole numbers of one part in so many."""
NEVER = -(1 << 62)
NEAR = 1e-4
"""The floats of the program are trusted to so much of what is counted."""

FAR_FROM_WHOLE = 1e-3
"""A number in the program that is further from a whole one is split."""
LITTLE = 4e-7
"""So much every cost is more, so that no two fillings are equally good and the method never goes in a circle."""
MOST_PIVOTS = 1000
"""So often at most the basis is changed when a program is mended."""
MOST_LONG = 4
"""The program is split where no more sources than this are left alone or keep a long end; with more it gains little."""
FAR = 1e9
"""More than anything costs."""


class Aim(NamedTuple):
    """What is to be least: what is opened, or, with what is opened held at `opened`, what is left in short ends.

    Then so many sources, from `fewest` to `most`, have a short end or none: this splits the packings into parts, each
    of which has a better bound than all together.
    """

    opened: int | None = None
    fewest: int = 0
    most: int = 0


def sources_cut(problem: Problem, opened: int, at: int) -> int:
    """So many of a stock at most are cut into when just so much is opened."""
    _, many, price = problem.stocks[at]
    many = min(many, problem.pieces)
    return min(many, opened // price) if price else many


def aim_at_ends(problem: Problem, opened: int) -> Aim:
    """The least in short ends, of all packings that open so much."""
    most = sum(sources_cut(problem, opened, at) for at in range(len(problem.stocks)))
    return Aim(opened, 0, min(most, problem.pieces))


class Duals(NamedTuple):
    """What each size, each stock (never above 0), each unit opened and each source with a short end or none is worth.

    All are scaled. A packing costs the `bound`, and beyond that what each of its fillings is dearer than its worth.
    """

    sizes: tuple[int, ...]
    stocks: tuple[int, ...]
    opened: int
    ended: int
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
        self._problem = problem
        right: list[float] = [float(many) for many in problem.demand]
        dearest = max(stock.price for stock in problem.stocks)
        if aim.opened is not None:
            right += [float(aim.opened), float(aim.most)]
            dearest = max(problem.scrap, 1)
        self._sum = aim.most
        limits = [float(min(stock.many, problem.pieces)) for stock in problem.stocks] + [1.0]
        # A little more of every row, so that no two bases are equally good and the method never goes in a circle.
        many = len(right)
        self._table = Table(many, len(limits), 20.0 * dearest)
        keys = [self._table.spare(at) for at in range(len(limits))]
        if aim.opened is not None:
            keys[-1] = self._numbered(aim.most)
        self._program = Program(self._table, _more(right, 0), _more(limits, many), keys)
        self._bins: dict[int, Bin] = {}
        self._known: dict[Bin, int] = {}
        self.fixed: list[Bin] = []
        self.part, self.aim = Part(problem, ()), aim
        self._among(aim)

    def copied(self) -> "Columns":
        """The same program once more; the fillings that either adds are known to both."""
        other = Columns.__new__(Columns)
        other._problem, other._table, other._bins, other._known = self._problem, self._table, self._bins, self._known
        other._program, other._sum = self._program.copied(), self._sum
        other.fixed, other.part, other.aim = self.fixed[:], self.part, self.aim
        return other

    def split(self) -> list["Columns"]:
        """The program with fewer, and with more, sources that have a short end or none than it has in parts."""
        number = sum(amount for amount, each in self.amounts() if self._is_ended(each))
        below = int(number + FAR_FROM_WHOLE)
        if self.aim.opened is None or number - below < FAR_FROM_WHOLE:
            return [self]
        opened = self.aim.opened
        sources = sum(sources_cut(self._problem, opened, at) for at in range(len(self._problem.stocks)))
        if sources - number > MOST_LONG:
            return [self]
        aims = self.aim._replace(most=below), self.aim._replace(fewest=below + 1)
        parts = [Columns(self._problem, aim) for aim in aims]
        for part in parts:
            part.add(self.bins)
        return parts

    def _among(self, aim: Aim) -> None:
        """Only so many sources have a short end or none."""
        self.aim = aim
        if aim.opened is None:
            return
        numbers = self._table.sets - 1
        self._program.alive = [at for at in self._program.alive if self._table.set_of[at] != numbers]
        self._program.alive += [self._numbered(number) for number in (aim.fewest, aim.most)]

    def _numbered(self, number: int) -> int:
        """The column of so many sources that have a short end or none."""
        return self._table.add(0.0, (self._ended_row,) * (self._sum - number), self._table.sets - 1)

    def add(self, bins: Iterable[Bin]) -> bool:
        """Adds fillings; true when one was new."""
        alive = set(self._program.alive)
        new = []
        for each in bins:
            at = self._known.get(each)
            if at is None:
                cost = self._cost(each.stock, self._problem.fill(each.counts))
                cost += LITTLE * (1 + len(self._bins) * 7919 % 1013 / 1013)
                at = self._known[each] = self._table.add(cost, self._rows(each), each.stock)
                self._bins[at] = each
            if at not in alive:
                new.append(at)
        self._program.alive = self._program.alive + new
        return bool(new)

    def take(self, bins: Iterable[Bin]) -> bool:
        """Keeps these fillings; the rest of the program goes on without them. False where it cannot."""
        bins = [*bins]
        for each in bins:
            self._program.without(self._known[each])
        self.fixed += bins
        self.part = Part(self._problem, self.fixed)
        if self.aim.opened is not None:
            self.aim = self.aim._replace(opened=self.aim.opened - self._problem.cost(bins).opened)
        left = [0] * len(self._problem.sizes)
        for kind, many in zip(self.part.kinds, self.part.demand, strict=True):
            left[kind] = many
        over = {kind: left[kind] for each in bins for kind, count in enumerate(each.counts) if count}
        kept: list[int] = []
        for at in self._program.alive:
            own = self._bins.get(at)
            if own is None or (
                own.stock in self.part.from_stocks and all(own.counts[kind] <= most for kind, most in over.items())
            ):
                kept.append(at)
        self._program.alive = kept
        return self._program.mend(MOST_PIVOTS, FAR)

    def amounts(self) -> list[tuple[float, Bin]]:
        """How much of each filling the program takes."""
        found = [(value, self._bins.get(column)) for column, value in self._program.amounts().items()]
        return [(value, each) for value, each in found if each is not None]

    @property
    def bins(self) -> list[Bin]:
        """All fillings so far."""
        return [*self._bins.values()]

    @property
    def work(self) -> int:
        """How much work it took."""
        return self._program.work

    def improve(self, work: int, enough: int, told: Callable[[], None]) -> Duals:
        """Adds fillings until none makes it cheaper, the work is done, or the bound proves `enough`.

        What it proves is of the part that is left.
        """
        part, program = self.part, self._program
        steps = max(part.rooms) * len(part.sizes) // 4
        right = [0.0] * self._table.rows
        for kind, many in zip(part.kinds, part.demand, strict=True):
            right[kind] = float(many)
        ended = self._sum - sum(map(self._is_ended, self.fixed))
        if self.aim.opened is not None:
            right[-2:] = float(self.aim.opened), float(ended)
        limits = [0.0] * self._table.sets
        limits[-1] = 1.0
        for at, stock in zip(part.from_stocks, part.stocks, strict=True):
            limits[at] = float(min(stock.many, part.pieces))
        best: Duals | None = None
        while best is None or program.work < work:
            program.solve(4 * self._table.rows)
            program.work += steps
            duals, bins = self._priced(ended)
            if best is None or duals.bound > best.bound:
                best = duals
            told()
            # What the program costs now is the most that any bound can prove.
            final = best.least >= ceil(program.worth(right, limits) - NEAR)
            if best.least >= enough or final or not self.add(map(part.outside, bins)):
                break
        return best

    def _cost(self, stock: int, fill: int) -> float:
        if self.aim.opened is None:
            return float(self._problem.stocks[stock].price)
        return float(self._problem.waste(stock, fill))

    def _rows(self, each: Bin) -> list[int]:
        rows = [kind for kind, count in enumerate(each.counts) for _ in range(count)]
        if self.aim.opened is not None:
            rows += [len(self._problem.sizes)] * self._problem.stocks[each.stock].price
            rows += [self._ended_row] * self._is_ended(each)
        return rows

    @property
    def _ended_row(self) -> int:
        return len(self._problem.sizes) + 1

    def _is_ended(self, each: Bin) -> bool:
        return self._problem.is_ended(each.stock, self._problem.fill(each.counts))

    def _priced(self, left: int) -> tuple[Duals, list[Bin]]:
        """The bound of the duals as they are, and the fillings that are cheaper than their worth."""
        part, aim, program = self.part, self.aim, self._program
        sizes = [round(program.duals[kind] * SCALE) for kind in part.kinds]
        opened = ended = 0
        if aim.opened is not None:
            opened, ended = (round(dual * SCALE) for dual in program.duals[len(self._problem.sizes) : -1])
        worth = Worth(part, sizes)
        bound = sum(dual * many for dual, many in zip(sizes, part.demand, strict=True))
        bound += opened * (aim.opened or 0) + ended * left
        bound -= max((self._sum - aim.fewest) * ended, (self._sum - aim.most) * ended)
        stocks: list[int] = []
        bins: list[tuple[int, Bin]] = []
        for at, stock in enumerate(part.stocks):
            least, fills = self._cheapest(at, worth, opened, ended)
            many = min(stock.many, part.pieces) if aim.opened is None else sources_cut(part, aim.opened, at)
            stocks.append(min(0, least))
            bound += many * stocks[-1]
            charged = round(program.charges[part.from_stocks[at]] * SCALE)
            # Fillings that the program itself takes for too dear are not offered to it.
            found = [(dearer - charged, fill) for dearer, fill in fills if dearer - charged < -SCALE // 1_000_000]
            bins += [(dearer, Bin(at, worth.counts(fill))) for dearer, fill in found]
        bins.sort()
        return Duals(tuple(sizes), tuple(stocks), opened, ended, bound), [each for _, each in bins[:40]]

    def _cheapest(self, at: int, worth: Worth, opened: int, ended: int) -> tuple[int, list[tuple[int, int]]]:
        """How much the cheapest filling of a stock is dearer than its worth, and the fills of the cheapest few."""
        problem = self.part
        room, stock = problem.rooms[at], problem.stocks[at]
        best = worth.best
        if self.aim.opened is None:
            dearer = [stock.price * SCALE - value for value in best[1 : room + 1]]
        else:
            base = -opened * stock.price
            dearer = [base - value for value in best[1 : room + 1]]
            for fill in range(max(1, (stock.length - problem.scrap) // problem.unit), room + 1):
                if problem.is_ended(at, fill):
                    dearer[fill - 1] += problem.waste(at, fill) * SCALE - ended
        least = min(dearer)
        few = 8 if stock.many >= problem.pieces else 1
        if few == 1:
            return least, [(least, dearer.index(least) + 1)]
        order = sorted(range(len(dearer)), key=dearer.__getitem__)[:few]
        return least, [(dearer[fill], fill + 1) for fill in order]


def _more(amounts: Sequence[float], first: int) -> list[float]:
    """A little more of every one."""
    return [each + 1e-5 * (1 + at * 7919 % 1013 / 1013) for at, each in enumerate(amounts, first)]
