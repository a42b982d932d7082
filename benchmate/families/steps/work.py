"""A piece in written steps, unrolled."""

from array import array
from bisect import bisect_right
from collections.abc import Sequence

from benchmate.craft.work import RowSpan, Work
from benchmate.families.steps.body import Instruction, Steps, WrittenStep


class StepsWork(Work):
    """The steps of a piece in written steps. Each rests on the one before."""

    def __init__(self, body: Steps, repeats: int) -> None:
        self.strings = body.strings
        self.rows = repeats
        self._steps = body.steps
        self._firsts = array("L", [0])
        for written in body.steps:
            self._firsts.append(self._firsts[-1] + written.times)
        self._once = self._firsts[-1]
        marked = (first for first, each in zip(self._firsts, body.steps, strict=False) if each.lay_out)
        self._lays_out_at = next(marked, None)
        self.size = self._once * repeats
        self._swapped, self._ends_swapped = _swapped(body.steps)

    def step(self, number: int) -> WrittenStep:
        """The instruction and its count."""
        if not 0 <= number < self.size:
            raise IndexError(number)
        within = number % self._once
        index = self._index(number)
        written = self._steps[index]
        time = within - self._firsts[index] + 1
        row = self.row_of(number)
        swapped = self._swapped[index] ^ (self._ends_swapped and not row % 2)
        if written.ties is not None and written.ties.swaps:
            swapped ^= not time % 2
        lengths = (written.lengths, written.lengths_aloud) if time == 1 else ("", "")
        return WrittenStep(row, written.do, written.hint, time, written.times, written.draw, swapped, *lengths)

    def lays_out_at(self) -> int | None:
        """The first step that says so."""
        return self._lays_out_at

    def _index(self, number: int) -> int:
        """The place of a step's instruction among all."""
        return bisect_right(self._firsts, number % self._once) - 1

    def row_of(self, number: int) -> int:
        """The repeat a step belongs to, from 1."""
        return number // self._once + 1

    def span(self, row: int) -> RowSpan:
        """The steps of a repeat."""
        return RowSpan((row - 1) * self._once, row * self._once)

    def swapped_at(self, number: int) -> int:
        """1, the first of two strings, where the step ties a knot in which these change places; else 0."""
        ties = self._steps[self._index(number)].ties
        return 1 if ties is not None and ties.swaps and len(self.strings) > 1 else 0

    def knotting(self, number: int) -> int:
        """Always 0: written steps do not say which string is in hand."""
        return 0

    def passive(self, number: int) -> int:
        """Always 0: written steps do not say which string is passive."""
        return 0

    def rests_on(self, number: int) -> tuple[int, ...]:
        """The step before."""
        return (number - 1,) if number else ()

    def carries(self, number: int) -> tuple[int, ...]:
        """The step after."""
        return (number + 1,) if number + 1 < self.size else ()


def _swapped(steps: Sequence[Instruction]) -> tuple[list[bool], bool]:
    """For each instruction whether its two strings hang the other way round than at the start; and so at the end.

    A drawing of a knot that is done shows the strings as they came into it.
    """
    found = []
    swapped = before = False
    for step in steps:
        found.append(before if step.draw is not None and step.draw.phase == "done" else swapped)
        if step.ties is not None:
            odd = step.times % 2 == 1
            # The strings before the last of its times, and after it.
            before, swapped = (swapped != (not odd), swapped != odd) if step.ties.swaps else (swapped, swapped)
    return found, swapped
