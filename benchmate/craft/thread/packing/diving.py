"""Packings from the linear program: what it takes whole is kept, the rest is asked again, until little is left."""

from collections.abc import Callable, Sequence

from benchmate.craft.thread.packing.columns import SCALE, Aim, Columns, Duals
from benchmate.craft.thread.packing.covering import Cover, fillings, room_to_leave
from benchmate.craft.thread.packing.filling import Packing
from benchmate.craft.thread.packing.problem import Bin, Chance, Part, Problem

WHOLE = 0.9
"""What the program takes more of than this is kept as a whole one."""
FEW = 2000
"""So many fillings are searched exactly."""
NODES = 4000
NODE, FILLING = 400, 100
"""What one of each takes, in steps of the linear program; measured."""


class Diver:
    """Dives from the linear program of a problem, each time another way."""

    def __init__(self, problem: Problem, aim: Aim, columns: Columns, duals: Duals, told: Callable[[], None]) -> None:
        self._problem, self._aim, self._top, self._duals, self._told = problem, aim, columns, duals, told
        self._chance = Chance(3)
        self._dives = 0
        self.work = 0

    def dive(self, target: int, effort: int) -> Packing | None:
        """A packing that costs at most `target`; None where this dive met none, or took more than the effort."""
        enough = self.work + effort
        problem, ends = self._problem, self._aim.opened is not None
        fixed: Packing = []
        part = Part(problem, fixed)
        columns, duals = self._top, self._duals
        self._dives += 1
        while True:
            fixed += [part.outside(each) for each in self._kept(part, columns)]
            part = Part(problem, fixed)
            if not part.pieces:
                return fixed
            cost = problem.cost(fixed)
            aim = Aim() if self._aim.opened is None else Aim(self._aim.opened - cost.opened)
            left = target - cost[ends]
            if left < 0 or not part.stocks or room_to_leave(part, left if aim.opened is None else aim.opened) < 0:
                return None
            columns = Columns(part, aim)
            columns.add([each for each in map(part.inside, self._top.bins) if each is not None])
            duals = columns.improve(enough - self.work, left + 1, self._told)
            self.work += columns.work
            if duals.least > left or self.work > enough:
                return None
            found, settled = self._exact(part, aim, duals, left)
            if found is not None:
                return fixed + [part.outside(each) for each in found]
            if settled:
                return None

    def _kept(self, part: "Part", columns: Columns) -> Sequence[Bin]:
        """What to keep: all that is taken whole, else one of the most."""
        amounts = sorted(columns.amounts(), key=lambda each: -each[0])
        if self._dives > 1 and amounts:
            # Later dives leave some of it, and take another one first.
            amounts = [each for each in amounts if self._chance.below(12)] or amounts
            if amounts[0][0] < WHOLE:
                at = self._chance.below(min(3, len(amounts)))
                amounts[0], amounts[at] = amounts[at], amounts[0]
        left, many = list(part.demand), [stock.many for stock in part.stocks]
        kept: list[Bin] = []
        for amount, each in amounts:
            if kept and amount < WHOLE:
                break
            for _ in range(max(1, round(amount - 0.4))):
                if many[each.stock] and all(count <= own for count, own in zip(each.counts, left, strict=True)):
                    many[each.stock] -= 1
                    left = [own - count for count, own in zip(each.counts, left, strict=True)]
                    kept.append(each)
        return kept

    def _exact(self, part: "Part", aim: Aim, duals: Duals, left: int) -> tuple[Packing | None, bool]:
        """The best packing of a part that costs at most so much; and whether there is none for certain."""
        least = duals.least
        target = min(left, least)
        while True:
            leave = room_to_leave(part, target if aim.opened is None else aim.opened)
            found = fillings(part, duals, aim, target * SCALE - duals.bound, leave, FEW) if leave >= 0 else []
            if found is None:
                return None, False
            cover = Cover(part, aim, duals.bound, target, found)
            bins = cover.search(NODES, self._told)
            self.work += NODE * cover.nodes + FILLING * len(found)
            if bins is not None:
                return bins, True
            if cover.nodes > NODES:
                return None, False
            if target == left:
                return None, True
            target = min(left, target + max(1, 2 * (target - least)))
