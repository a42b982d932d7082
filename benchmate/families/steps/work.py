"""A piece in written steps, unrolled."""

from array import array
from bisect import bisect_right

from benchmate.craft.work import RowSpan, Work
from benchmate.families.steps.body import Steps, WrittenStep


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
        self.size = self._once * repeats

    def step(self, number: int) -> WrittenStep:
        """The instruction and its count."""
        if not 0 <= number < self.size:
            raise IndexError(number)
        within = number % self._once
        index = bisect_right(self._firsts, within) - 1
        written = self._steps[index]
        time = within - self._firsts[index] + 1
        return WrittenStep(self.row_of(number), written.do, written.hint, time, written.times, written.draw)

    def row_of(self, number: int) -> int:
        """The repeat a step belongs to, from 1."""
        return number // self._once + 1

    def span(self, row: int) -> RowSpan:
        """The steps of a repeat."""
        return RowSpan((row - 1) * self._once, row * self._once)

    def swapped_at(self, number: int) -> int:
        """Always 0: written steps do not say how the strings hang."""
        return 0

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
