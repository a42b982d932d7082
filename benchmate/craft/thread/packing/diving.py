"""Packings from the linear program: what it takes whole is kept, the rest is asked again, until little is left."""

from collections.abc import Callable
from operator import gt

from benchmate.craft.thread.packing.columns import SCALE, Aim, Columns, Duals
from benchmate.craft.thread.packing.covering import Cover, fillings, room_to_leave
from benchmate.craft.thread.packing.filling import Packing
from benchmate.craft.thread.packing.problem import Bin, Chance, Part, Problem

WHOLE = 0.9
"""What the program takes more of than this is kept as a whole one."""
FEW_LENGTHS = 24
"""So many lengths at most are searched exactly."""
FEW = 2000
"""So many fillings are searched exactly."""
NODES = 4000
NODE, FILLING = 400, 100
"""What one of each takes, in steps of the linear program; measured."""


class Diver:
    """Dives from the linear program of a problem, each time another way."""

    def __init__(self, problem: Problem, columns: Columns, told: Callable[[], None]) -> None:
        self._problem, self._top, self._told = problem, columns, told
        self.ends = columns.aim.opened is not None
        self._chance = Chance(3)
        self._dives = 0
        self.work = 0

    def dive(self, target: int, effort: int) -> Packing | None:
        """A packing that costs at most `target`; None where this dive met none, or took more than the effort."""
        enough = self.work + effort
        columns = self._top.copied()
        self._dives += 1
        while True:
            kept = self._kept(columns)
            if not kept or not columns.take(kept):
                return None
            part = columns.part
            if not part.pieces:
                return columns.fixed
            left = target - self._problem.cost(columns.fixed)[self.ends]
            if left < 0 or not part.stocks or room_to_leave(part, _most(columns.aim, left)) < 0:
                return None
            before = columns.work
            duals = columns.improve(before + enough - self.work, left + 1, self._told)
            self.work += columns.work - before
            if duals.least > left or self.work > enough:
                return None
            if part.pieces <= FEW_LENGTHS:
                found, settled = self._exact(part, columns.aim, duals, left)
                if found is not None:
                    return columns.fixed + [part.outside(each) for each in found]
                if settled:
                    return None

    def _kept(self, columns: Columns) -> list[Bin]:
        """What to keep: all that is taken whole, else one of the most."""
        amounts = sorted(columns.amounts(), key=lambda each: -each[0])
        if self._dives > 1 and amounts:
            # Later dives leave some of it, and take another one first.
            amounts = [each for each in amounts if self._chance.below(12)] or amounts
            if amounts[0][0] < WHOLE:
                at = self._chance.below(min(3, len(amounts)))
                amounts[0], amounts[at] = amounts[at], amounts[0]
        part = columns.part
        left, many = list(part.demand), [stock.many for stock in part.stocks]
        kept: list[Bin] = []
        for amount, outside in amounts:
            if kept and amount < WHOLE:
                break
            each = part.inside(outside)
            for _ in range(max(1, round(min(amount, part.pieces) - 0.4))):
                if each is None or not many[each.stock] or any(map(gt, each.counts, left)):
                    break
                many[each.stock] -= 1
                left = [own - count for count, own in zip(each.counts, left, strict=True)]
                kept.append(outside)
        return kept

    def _exact(self, part: Part, aim: Aim, duals: Duals, left: int) -> tuple[Packing | None, bool]:
        """The best packing of a part that costs at most so much; and whether there is none for certain."""
        least = duals.least
        target = min(left, least)
        while True:
            leave = room_to_leave(part, _most(aim, target))
            found = fillings(part, duals, aim, target * SCALE - duals.bound, leave, FEW) if leave >= 0 else []
            if found is None:
                return None, False
            cover = Cover(part, aim, duals, target, found)
            bins = cover.search(NODES, self._told)
            self.work += NODE * cover.nodes + FILLING * len(found)
            if bins is not None:
                return bins, True
            if cover.nodes > NODES:
                return None, False
            if target == left:
                return None, True
            target = min(left, target + max(1, 2 * (target - least)))


def _most(aim: Aim, target: int) -> int:
    """The most that is opened."""
    return target if aim.opened is None else aim.opened
