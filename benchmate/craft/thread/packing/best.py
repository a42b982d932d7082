"""The best packing there is, or the best that was found, with what is proven about it."""

from collections.abc import Callable
from typing import NamedTuple

from benchmate.craft.thread.packing.bounds import ends_by_sums, ends_by_volume, ends_where_all_end, opened_by_volume
from benchmate.craft.thread.packing.branching import Branching
from benchmate.craft.thread.packing.columns import SCALE, Aim, Columns, Duals, aim_at_ends
from benchmate.craft.thread.packing.covering import Cover, fillings, room_to_leave
from benchmate.craft.thread.packing.diving import FILLING, NODE, Diver
from benchmate.craft.thread.packing.filling import Improver
from benchmate.craft.thread.packing.problem import Bin, Chance, Problem
from benchmate.craft.thread.packing.repacking import Repacker

PROVEN = 60
"""So many lengths at most are searched until the best is proven."""
MOST_FILLINGS = 30_000
"""The most fillings that are looked at together."""
EFFORTS = ((12_000_000, 28_000_000), (30_000_000, 6_000_000))
"""The effort for skeins and for ends, up to so many lengths and beyond, in steps of the linear program."""
MOST_PROGRAM = 400_000_000
"""The most effort for the bound of the linear program up to so many lengths, which is far more than it needs."""
QUICK = 6000
"""So many improvements, divided by the lengths, are tried in a quick search for skeins, and as many for ends."""
FEW = 8000
"""So many fillings at most are branched on."""
FIRST_NODES = 1000
"""So far the plain search goes before branches are bounded: most is settled by it."""
FIRST_ENDS = 300
"""So many improvements are tried before the linear program for what is left in ends."""
FIRST_DIVES = 2
"""So often a good packing is looked for in the linear program before anything is proven."""
STEP, REPACKED = 1500, 60_000
"""What one of each takes, in such steps; measured, so that a search that gives up takes about as long everywhere."""


class Best(NamedTuple):
    """A packing, the least that any opens, and the least that any with so little opened leaves in short ends."""

    bins: list[Bin]
    opened: int
    least_opened: int
    waste: int
    least_waste: int


class Search:
    """The search for the best packing of one problem. Its efforts are counted, so that every machine stops alike."""

    def __init__(self, problem: Problem, told: Callable[[], None] = lambda: None, *, quick: bool = False) -> None:
        """A `quick` search ends before the linear programs, with what a person does not wait for."""
        self._problem, self._told, self._quick = problem, told, quick
        self._improver = Improver(problem, Chance())
        self._repacker = Repacker(problem, self._improver, Chance(5))
        self._efforts = EFFORTS[problem.pieces > PROVEN]
        self._effort = 0

    def best(self) -> Best:
        """The best packing."""
        improver = self._improver
        improver.begin(3 if self._quick else 12)
        least = self._fewest()
        waste = self._least_waste() if self._quick or improver.cost.opened <= least else 0
        return Best(improver.best, improver.cost.opened, least, improver.cost.waste, waste)

    def _fewest(self) -> int:
        improver, problem = self._improver, self._problem
        least = opened_by_volume(problem)
        self._steps(300, Aim(), least)
        if self._quick or improver.cost.opened <= least:
            return least
        self._effort = self._efforts[0]
        columns, duals = self._program(Aim())
        return self._proven(columns, duals, max(least, duals.least))

    def _least_waste(self) -> int:
        improver = self._improver
        aim = aim_at_ends(self._problem, improver.cost.opened)
        least = ends_by_volume(self._problem, improver.cost.opened)
        self._steps(FIRST_ENDS, aim, least)
        if improver.cost.waste > least and not self._quick:
            least = max(least, ends_by_sums(self._problem, improver.cost.opened))
        if self._quick or improver.cost.waste <= least:
            return least
        self._effort = self._efforts[1]
        columns, duals = self._program(aim)
        return self._proven(columns, duals, max(least, duals.least))

    def _proven(self, columns: Columns, duals: Duals, least: int) -> int:
        """The least that any packing costs, as far as it is proven; the best that was met is known then."""
        improver, ends = self._improver, columns.aim.opened is not None
        diver = Diver(self._problem, columns, self._told)
        for _ in range(FIRST_DIVES):
            self._dive(diver, least)
        if improver.cost[ends] <= least:
            return least
        parts = [(duals, columns)]
        split = columns.split()
        if len(split) > 1:
            parts = [(part.improve(MOST_PROGRAM, improver.cost[ends], self._told), part) for part in split]
            self._effort -= sum(part.work for part in split)
            parts.sort(key=lambda each: each[0].bound)
        proven = [self._part(part, own, max(least, own.least)) for own, part in parts]
        return min(improver.cost[ends], *proven)

    def _part(self, columns: Columns, duals: Duals, least: int) -> int:
        """The same of a part of all packings."""
        improver, aim = self._improver, columns.aim
        ends = aim.opened is not None
        if aim.opened is not None:
            least = max(least, ends_where_all_end(self._problem, aim.opened, aim.fewest))
        step = 0
        while improver.cost[ends] > least and self._effort > 0:
            # What is near is settled soon; with a target too far there are more fillings than can be looked at.
            target = min(least + step, improver.cost[ends] - 1)
            settled = self._settled(duals, aim, target)
            if settled is not None:
                least, step = max(least, settled), 2 * step + 3
            elif target > least:
                step = (target - least) // 2
            else:
                break
        diver = Diver(self._problem, columns, self._told)
        while improver.cost[ends] > least and self._effort > 0:
            found = self._reached(diver, duals, aim, least)
            if found is None:
                break
            if not found:
                least += 1
        return least

    def _dive(self, diver: Diver, enough: int) -> None:
        improver = self._improver
        cost = improver.cost[diver.ends]
        if cost > enough and self._effort > 0:
            before = diver.work
            # Up to so many lengths a dive always comes to its end: one that is broken off was for nothing.
            most = MOST_PROGRAM if self._problem.pieces <= PROVEN else self._effort
            improver.take(diver.dive(cost - 1, most) or [])
            self._effort -= diver.work - before

    def _settled(self, duals: Duals, aim: Aim, target: int) -> int | None:
        """What any packing costs at least when those that cost at most `target` are looked at; None for too many."""
        problem, improver, ends = self._problem, self._improver, aim.opened is not None
        leave = room_to_leave(problem, target if aim.opened is None else aim.opened)
        found = fillings(problem, duals, aim, target * SCALE - duals.bound, leave, FEW) if leave >= 0 else []
        self._effort -= FILLING * (FEW if found is None else len(found))
        if found is None:
            return None
        cover = Cover(problem, aim, duals, target, found)
        better = cover.search(FIRST_NODES, self._told)
        self._effort -= NODE * cover.nodes
        if better is not None:
            improver.take(better)
            return self._settled(duals, aim, improver.cost[ends] - 1)
        if cover.nodes <= FIRST_NODES:
            return target + 1
        search = Branching(problem, aim, duals, target, found)
        improver.take(search.search(2 * self._effort // 3, self._told) or [])
        self._effort -= search.work
        return min(target + 1, improver.cost[ends]) if search.settled else None

    def _program(self, aim: Aim) -> tuple[Columns, Duals]:
        """The linear program, and the best bound it proves; one that is too large is stopped on the way."""
        columns = Columns(self._problem, aim)
        columns.add(self._improver.best)
        self._told()
        most = MOST_PROGRAM if self._problem.pieces <= PROVEN else self._effort // 2
        return columns, columns.improve(most, self._improver.cost[aim.opened is not None], self._told)

    def _steps(self, most: int, aim: Aim, enough: int) -> None:
        ends = aim.opened is not None
        for turn in range(min(most, QUICK // self._problem.pieces) if self._quick else most):
            if self._improver.cost[ends] <= enough:
                return
            if turn % 500 == 0:
                self._improver.again(ends=ends)
                self._told()
            self._improver.step(ends=ends)

    def _reached(self, diver: Diver, duals: Duals, aim: Aim, target: int) -> bool | None:
        """Whether a packing costs so little; the best one is then known. None where the search gave up."""
        problem, improver, ends = self._problem, self._improver, aim.opened is not None
        leave = room_to_leave(problem, target if aim.opened is None else aim.opened)
        if leave < 0:
            return False
        room = target * SCALE - duals.bound
        found = fillings(problem, duals, aim, room, leave, MOST_FILLINGS)
        self._effort -= FILLING * (MOST_FILLINGS if found is None else len(found))
        limit = 1000
        cover = Cover(problem, aim, duals, target, found) if found is not None else None
        while self._effort > 0:
            if cover is not None:
                bins = cover.search(limit, self._told)
                self._effort -= NODE * cover.nodes
                if bins is not None:
                    improver.take(bins)
                    return True
                if cover.nodes <= limit:
                    return False
                limit *= 3
            self._dive(diver, target)
            self._repack(10, aim, target)
            if improver.cost[ends] <= target:
                return True
        return None

    def _repack(self, turns: int, aim: Aim, target: int) -> None:
        improver, ends = self._improver, aim.opened is not None
        improver.again(ends=ends)
        for turn in range(turns):
            if improver.cost[ends] <= target:
                return
            if turn % 20 == 19:
                self._told()
                for _ in range(60):
                    improver.step(ends=ends)
            else:
                self._repacker.step(ends=ends)
        self._effort -= turns * (REPACKED + 3 * STEP)
