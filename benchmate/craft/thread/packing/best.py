"""The best packing there is, or the best that was found, with what is proven about it."""

from collections.abc import Callable
from typing import NamedTuple

from benchmate.craft.thread.packing.bounds import ends_by_sums, ends_by_volume, opened_by_volume
from benchmate.craft.thread.packing.branching import Branching
from benchmate.craft.thread.packing.columns import SCALE, Aim, Columns, Duals
from benchmate.craft.thread.packing.covering import Cover, Filling, fillings, room_to_leave, valued
from benchmate.craft.thread.packing.diving import FILLING, NODE, Diver
from benchmate.craft.thread.packing.filling import Improver
from benchmate.craft.thread.packing.problem import Bin, Chance, Problem
from benchmate.craft.thread.packing.repacking import Repacker

PROVEN = 60
"""So many lengths at most are searched until the best is proven."""
MOST_FILLINGS = 30_000
"""The most fillings that are looked at together."""
EFFORTS = ((400_000_000, 14_000_000), (30_000_000, 6_000_000))
"""The effort for skeins and for ends, up to so many lengths and beyond, in steps of the linear program."""
MOST_PROGRAM = 400_000_000
"""The most effort for the bound of the linear program up to so many lengths, which is far more than it needs."""
QUICK = 6000
"""So many improvements, divided by the lengths, are tried in a quick search for skeins, and as many for ends."""
FEW = 1500
"""So many fillings at most are branched on."""
BRANCHED, FIRST_BRANCHED = 45_000_000, 8_000_000
"""The effort for all searches by branching, and for the first one that is to find a good packing."""
FIRST_STEPS = 9
"""So far above what is proven branching follows at once; further up a good packing is looked for first."""
FIRST_NODES = 1000
"""So far the plain search goes before branches are bounded: most is settled by it."""
STEP, REPACKED = 1500, 15_000
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
        least = max(least, duals.least)
        while improver.cost.opened > least:
            found = self._reached(columns, duals, Aim(), least)
            if found is None:
                break
            if not found:
                least += 1
        return least

    def _least_waste(self) -> int:
        improver = self._improver
        aim = Aim(improver.cost.opened)
        least = ends_by_volume(self._problem, improver.cost.opened)
        self._steps(1000, aim, least)
        if improver.cost.waste > least and not self._quick:
            least = max(least, ends_by_sums(self._problem, improver.cost.opened))
        if self._quick or improver.cost.waste <= least:
            return least
        columns, duals = self._program(aim)
        least = max(least, duals.least)
        self._effort = self._efforts[1]
        if self._problem.pieces <= PROVEN and not all(stock.price for stock in self._problem.stocks):
            least = self._branched(columns, duals, aim, least)
            self._effort = max(self._efforts[1] - (BRANCHED - self._effort), self._efforts[1] // 4)
        first = target = least
        while improver.cost.waste > least:
            target = min(target, improver.cost.waste - 1)
            found = self._reached(columns, duals, aim, target)
            if found is None:
                break
            if not found:
                least = target + 1
                target = least + 2 * (target - first) + 3
        return least

    def _branched(self, columns: Columns, duals: Duals, aim: Aim, least: int) -> int:
        """The least that any packing costs, as far as branching proves it; the best that it meets is known then."""
        improver, ends = self._improver, aim.opened is not None
        self._effort = BRANCHED
        step, proven = 0, True
        while improver.cost[ends] > least and proven:
            # The plain search settles most, and where it does a higher target is tried.
            target = min(least + step, improver.cost[ends] - 1)
            settled = self._settled(duals, aim, target, branching=step < FIRST_STEPS)
            proven, least, step = settled is not None, settled or least, 2 * step + 3
        if improver.cost[ends] > least:
            # Among the program's own columns there is mostly a packing that is nearly the best.
            target = improver.cost[ends] - 1
            found = [valued(self._problem, duals, aim, each) for each in columns.bins]
            room = target * SCALE - duals.bound
            self._branch(duals, aim, target, [each for each in found if each.dearer <= room], FIRST_BRANCHED)
        target = improver.cost[ends] - 1
        while improver.cost[ends] > least and self._effort > 0:
            settled = self._settled(duals, aim, target, branching=True)
            if settled is not None:
                least, target = max(least, settled), improver.cost[ends] - 1
            elif target > least:
                target = (target + least) // 2
            else:
                break
        return least

    def _settled(self, duals: Duals, aim: Aim, target: int, *, branching: bool) -> int | None:
        """What any packing costs at least when those that cost at most `target` are looked at; None for too many."""
        problem, improver, ends = self._problem, self._improver, aim.opened is not None
        leave = room_to_leave(problem, target if aim.opened is None else aim.opened)
        found = fillings(problem, duals, aim, target * SCALE - duals.bound, leave, FEW) if leave >= 0 else []
        if found is None:
            return None
        cover = Cover(problem, aim, duals.bound, target, found)
        better = cover.search(FIRST_NODES, self._told)
        self._effort -= NODE * cover.nodes + FILLING * len(found)
        if better is not None:
            improver.take(better)
            return self._settled(duals, aim, improver.cost[ends] - 1, branching=branching)
        if cover.nodes <= FIRST_NODES:
            return target + 1
        if not branching:
            return None
        settled = self._branch(duals, aim, target, found, self._effort)
        return min(target + 1, improver.cost[ends]) if settled else None

    def _branch(self, duals: Duals, aim: Aim, target: int, found: list[Filling], effort: int) -> bool:
        """Looks for the best packing of these fillings; true when there is none better that costs at most `target`."""
        search = Branching(self._problem, aim, duals, target, found)
        self._improver.take(search.search(effort, self._told) or [])
        self._effort -= search.work
        return search.settled

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

    def _reached(self, columns: Columns, duals: Duals, aim: Aim, target: int) -> bool | None:
        """Whether a packing costs so little; the best one is then known. None where the search gave up."""
        problem, improver, ends = self._problem, self._improver, aim.opened is not None
        leave = room_to_leave(problem, target if aim.opened is None else aim.opened)
        if leave < 0:
            return False
        room = target * SCALE - duals.bound
        found = fillings(problem, duals, aim, room, leave, MOST_FILLINGS)
        self._effort -= FILLING * (MOST_FILLINGS if found is None else len(found))
        limit = 1000
        cover = Cover(problem, aim, duals.bound, target, found) if found is not None else None
        diver = Diver(problem, aim, columns, duals, self._told)
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
            before = diver.work
            # Up to so many lengths a dive always comes to its end: one that is broken off was for nothing.
            most = MOST_PROGRAM if problem.pieces <= PROVEN else self._effort
            improver.take(diver.dive(improver.cost[ends] - 1, most) or [])
            self._effort -= diver.work - before
            self._repack(40, aim, target)
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
