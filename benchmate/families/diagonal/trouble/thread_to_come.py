"""What every string of a diagonal band still does, whether it lasts, and where a new one can be laid in."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.trouble.trouble import Lasting
from benchmate.families.diagonal.work import DiagonalWork

MADE, CARRIED, STAYED = range(3)
"""What a string does in a knot."""


class ThreadToCome:
    """As in `craft.trouble`, for one order of work: the knots of each string, found in one walk.

    A row that a string waits is charged at its next knot, whoever worked that row before. In a step whose knot is left
    out both strings wait. The rows that a string waits after its last knot take thread but never make it give out.
    """

    def __init__(self, work: DiagonalWork, sequence: Sequence[int]) -> None:
        self._work, self._sequence = work, sequence
        places = [list[int]() for _ in range(len(work.strings) + 1)]
        does = [bytearray() for _ in places]
        for place, number in enumerate(sequence):
            knotting = work.knotting(number)
            if not knotting:
                continue
            passive = work.passive(number)
            places[knotting].append(place)
            does[knotting].append(MADE)
            places[passive].append(place)
            does[passive].append(CARRIED if work.swapped_at(number) else STAYED)
        self._places, self._does = places, does

    def still_does(self, done: int) -> list[Counts]:
        """As in `ThreadToCome`."""
        touched = self._last_row(done)
        return [self._in_all(string, done, touched) for string in range(1, len(self._places))]

    def lasts(self, done: int, string: int, remaining_mm: float, gauge: Gauge) -> Lasting:
        """As in `ThreadToCome`."""
        places, does = self._places[string], self._does[string]
        # Decimal numbers, because a string that has just enough lasts.
        each = tuple(map(_exact, (gauge.made_mm, gauge.carried_mm, gauge.stayed_mm, gauge.waited_mm)))
        most = _exact(remaining_mm) - _exact(gauge.hold_mm)
        first = self._first(string, done)
        needs = _takes(self._in_all(string, done, self._last_row(done)), each)
        at = bisect_right(
            range(first, len(places)), most, key=lambda end: _takes(self._counts(string, first, end + 1), each)
        )
        if first + at == len(places):
            return Lasting(float(needs), None, None)
        passive = (before for before in range(first + at - 1, first - 1, -1) if does[before] != MADE)
        hidden = next(passive, None)
        lay_in = None if hidden is None else self._sequence[places[hidden]]
        return Lasting(float(needs), self._sequence[places[first + at]], lay_in)

    def _first(self, string: int, done: int) -> int:
        """Which of the string's knots is the first one still to come."""
        return bisect_right(self._places[string], done - 1)

    def _in_all(self, string: int, done: int, touched: int) -> Counts:
        """What the string still does, to the last row; in the rows up to `touched` something is tied."""
        places = self._places[string]
        counts = self._counts(string, self._first(string, done), len(places))
        ends = max(self._row(string, len(places) - 1), touched)
        return counts._replace(waited=counts.waited + self._work.rows - ends)

    def _counts(self, string: int, first: int, end: int) -> Counts:
        """What the string does in these of its knots."""
        does = self._does[string]
        made, carried, stayed = (does.count(what, first, end) for what in (MADE, CARRIED, STAYED))
        waited = self._row(string, end - 1) - self._row(string, first - 1) - (end - first)
        return Counts(made, carried, stayed, waited)

    def _row(self, string: int, knot: int) -> int:
        """The row of one of the string's knots; 0 before the first."""
        return 0 if knot < 0 else self._work.row_of(self._sequence[self._places[string][knot]])

    def _last_row(self, done: int) -> int:
        """The last row of which a step is done; 0 when none is. Steps are numbered row by row."""
        return self._work.row_of(max(self._sequence[:done])) if done else 0


def _takes(counts: Counts, each: Sequence[Fraction]) -> Fraction:
    return sum((count * mm for count, mm in zip(counts, each, strict=True)), Fraction(0))


def _exact(mm: float) -> Fraction:
    return Fraction(str(mm))
