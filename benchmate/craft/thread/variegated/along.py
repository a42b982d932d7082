"""How the colour of a variegated thread changes along a band: where on its thread each string makes each knot.

A string begins where the first colour of its sequence begins, with what the start takes of it; a leading string of a
picture begins there with its tail. Then every knot it makes, every knot in which it is carried and every row it waits
takes thread, in the order of the chart. So the colour of a knot is a matter of the chart and the gauge, whichever way
the band is worked.
"""

from array import array
from bisect import bisect_left
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from benchmate.craft.colours.colour import Colour
from benchmate.craft.thread.gauge import FLOSS, Gauge
from benchmate.craft.thread.variegated.sequence import Parts
from benchmate.craft.work import Work


class Beginnings(NamedTuple):
    """By what the place on a string is reckoned: the gauge, and what the start takes of each string, mm.

    `backwards` are the strings that are the other half of a folded length: they run through the sequence from its end.
    `joined` are the strings that a new one has taken over from, each with the step of the band, from 0, after which it
    did; -1 for before its first. A new string begins as the old one did, with the end that is laid in.
    """

    gauge: Gauge = FLOSS
    start_mm: float = FLOSS.start_mm
    backwards: frozenset[int] = frozenset()
    joined: frozenset[tuple[int, int]] = frozenset()


USUAL = Beginnings()
"""Strings of floss, each a length of its own, with no start that says what it takes."""


class Take(NamedTuple):
    """Thread that a string takes, mm, in a row from 1.

    `step` is the number of the step it is for, from 0, or -1 for a float. `string` is the string's number, by which it
    has its colour. `leading` is the number of the leading string, from 1, or 0 for any other string. `makes` is true
    where the string makes the knot.
    """

    step: int
    string: int
    mm: float
    row: int
    makes: bool
    leading: int = 0


class ThreadAlong:
    """Which part of its sequence each variegated string shows, and where. This one has no such strings."""

    def made(self, number: int) -> int:
        """The part that a knot shows, or the strand of a move; 0 where the thread is not variegated."""
        return 0

    def of_step(self, number: int) -> Mapping[int, int]:
        """The part that each variegated string of a step shows in it, by the number of the string."""
        return {}

    def now(self, is_tied: Callable[[int], bool], done: int) -> Mapping[int, int]:
        """The part that each variegated string shows as it hangs, with so many steps `done`: that of its next step."""
        return {}

    def waiting(self, string: int, row: int) -> int:
        """The part that a string shows in a row, from 1, in which it waits."""
        return 0


UNCHANGING = ThreadAlong()
"""A band in which no thread changes its colour."""


class TakenAlong(ThreadAlong):
    """Reckoned from what each string takes in the order of the chart, as far as it was asked for."""

    def __init__(
        self,
        work: Work,
        beginnings: Beginnings,
        takes: Callable[[], Iterator[Take]],
        parts_of: Callable[[int], Parts | None],
    ) -> None:
        """`takes` are those of every variegated string, and may be of others; `parts_of` a string are its colours."""
        self._work, self._beginnings, self._begin, self._parts_of = work, beginnings, takes, parts_of
        self._known = 0
        """All takes for the steps before this one are reckoned."""
        self._row = 1
        """So are all in the rows before this one."""

    def made(self, number: int) -> int:
        """As reckoned, once for each knot."""
        part = self._shown[number]
        if not part:
            found = self._part(number, self._work.knotting(number), self._makes)
            # Noted one higher, so that 0 stands for what was not asked yet.
            part = self._shown[number] = (found or 0) + 1
        return part - 1

    def of_step(self, number: int) -> Mapping[int, int]:
        """As reckoned."""
        work = self._work
        if not work.knotting(number):
            # The strings of a knot that is left out show what they show as they hang.
            hanging = (string for string in work.takes(number) if string in self._parts)
            return {string: self._next_part(string, lambda step: step < number) for string in hanging}
        both = (work.knotting(number), self._makes), (work.passive(number), self._passive)
        found = {string: self._part(number, string, places) for string, places in both}
        return {string: part for string, part in found.items() if part is not None}

    def now(self, is_tied: Callable[[int], bool], done: int) -> Mapping[int, int]:
        """As reckoned. The steps of a string are tied in their order."""
        return {string: self._next_part(string, is_tied) for string, leading in self._strings if not leading}

    def waiting(self, string: int, row: int) -> int:
        """As reckoned."""
        while self._row <= row and self._known < self._work.size:
            self._reckon(self._known)
        along = self._strings.get((string, 0))
        return 0 if along is None else self._parts[string].part(along.before(row), self._beginnings.gauge.waited_mm)

    def used(self, string: int, leading: int = 0) -> float:
        """The thread that a string or leading string has taken at the end, with what it began with, mm."""
        self._reckon(self._work.size)
        return self._strings[string, leading].before(self._work.rows + 1)

    def _part(self, number: int, string: int, places: "_Places") -> int | None:
        """The part that a string shows in a step; None for an ordinary string."""
        if string not in self._parts:
            return None
        if number >= self._known:
            self._reckon(number)
        return self._parts[string].part(places.begins[number], places.lengths[number])

    def _next_part(self, string: int, is_tied: Callable[[int], bool]) -> int:
        steps = self._strings[string, 0].steps
        at = bisect_left(steps, True, key=lambda step: not is_tied(step))
        while at == len(steps) and self._known < self._work.size:
            self._reckon(2 * self._known)
            at += bisect_left(steps[at:], True, key=lambda step: not is_tied(step))
        if at == len(steps):
            along = self._strings[string, 0]
            return self._parts[string].part(along.before(along.rows[-1] + 1 if along.rows else 1), 0.0)
        number = steps[at]
        return self._part(number, string, self._makes if self._work.knotting(number) == string else self._passive) or 0

    def _reckon(self, number: int) -> None:
        """Reckons on, at least up to this step."""
        strings, tail_mm = self._strings, self._beginnings.gauge.tail_mm
        for take in self._takes:
            along = strings.get((take.string, take.leading))
            if along is None:
                if not take.leading or self._parts_of(take.string) is None:
                    continue
                along = strings[take.string, take.leading] = _StringAlong(tail_mm, 0.0)
            begins = along.take(take)
            if take.step >= 0:
                places = self._makes if take.makes else self._passive
                places.begins[take.step], places.lengths[take.step] = begins, take.mm
            if take.step > number:
                # The other string of this step may still come.
                self._known, self._row = take.step, take.row
                return
        self._known, self._row = self._work.size, self._work.rows + 1

    @cached_property
    def _takes(self) -> Iterator[Take]:
        return self._begin()

    @cached_property
    def _strings(self) -> "dict[tuple[int, int], _StringAlong]":
        """Every variegated string by its number and 0; leading strings are added as they begin."""
        begins, waited_mm = self._beginnings.start_mm, self._beginnings.gauge.waited_mm
        hanging = self._work.at_start()
        joins: dict[int, set[int]] = {}
        for string, step in self._beginnings.joined:
            joins.setdefault(string, set()).add(step)
        tail_mm = self._beginnings.gauge.tail_mm
        return {
            (string, 0): _StringAlong(begins, waited_mm, joins.get(string, ()), tail_mm)
            for string in hanging
            if string in self._parts
        }

    @cached_property
    def _parts(self) -> dict[int, Parts]:
        """The parts of every variegated string, by the number that has its colour."""
        found = ((string, self._parts_of(string)) for string in range(1, self._work.resource_count + 1))
        return {string: parts for string, parts in found if parts is not None}

    @cached_property
    def _makes(self) -> "_Places":
        return _Places(self._work.size)

    @cached_property
    def _passive(self) -> "_Places":
        return _Places(self._work.size)

    @cached_property
    def _shown(self) -> "array[int]":
        return array("H", bytes(2 * self._work.size))


class EvenlyAlong(ThreadAlong):
    """Strands that all take thread evenly from the first step to the last."""

    def __init__(
        self, start_mm: float, moved: Callable[[int], int], strands: Mapping[int, tuple[Parts, float]]
    ) -> None:
        """`moved` is the strand that a step moves; `strands` are the parts of each, and what it takes in a step, mm."""
        self._start_mm, self._moved, self._strands = start_mm, moved, strands

    def made(self, number: int) -> int:
        """The strand that is moved."""
        return self.part(self._moved(number), number)

    def of_step(self, number: int) -> Mapping[int, int]:
        """The strand that is moved."""
        strand = self._moved(number)
        return {strand: self.part(strand, number)} if strand in self._strands else {}

    def now(self, is_tied: Callable[[int], bool], done: int) -> Mapping[int, int]:
        """Every strand."""
        return {strand: self.part(strand, done) for strand in self._strands}

    def part(self, strand: int, number: int) -> int:
        """The part that a strand shows in a step, whichever strand that moves; 0 for an ordinary strand."""
        if strand not in self._strands:
            return 0
        parts, mm = self._strands[strand]
        return parts.part(self._start_mm + number * mm, mm)


class _Places:
    """For each step, where on its thread a string takes what it takes for it, and how much, mm."""

    def __init__(self, size: int) -> None:
        self.begins, self.lengths = array("d", bytes(8 * size)), array("d", bytes(8 * size))


class _StringAlong:
    """How far along its thread a string is: the steps it takes thread for, the last row and the place after it, mm."""

    def __init__(self, begins: float, waited_mm: float, joined: Collection[int] = (), joined_mm: float = 0.0) -> None:
        """After the steps in `joined`, -1 for before the first, it begins once more, at `joined_mm`."""
        self.steps = array("L")
        self.rows, self.afters = array("L"), array("d")
        self._begins = joined_mm if -1 in joined else begins
        self._waited_mm, self._joined_mm = waited_mm, joined_mm
        self._still_to_join = sorted(step for step in joined if step >= 0)

    def take(self, take: Take) -> float:
        """Takes more thread; returns where that begins."""
        begins = self._after(len(self.rows), take.row)
        still = self._still_to_join
        while still and 0 <= still[0] < take.step:
            # The string was in that step when the new one was laid in, and is in another one by now.
            begins = self._joined_mm
            del still[0]
        # Only strings that hang side by side are asked for their next step, and those have no floats.
        if take.step >= 0:
            self.steps.append(take.step)
        self.rows.append(take.row)
        joined = bool(still) and take.step == still[0]
        if joined:
            del still[0]
        self.afters.append(self._joined_mm if joined else begins + take.mm)
        return begins

    def before(self, row: int) -> float:
        """Its place before it takes anything in a row, after the rows it has waited, mm."""
        return self._after(bisect_left(self.rows, row), row)

    def _after(self, count: int, row: int) -> float:
        """Its place in a row after the first `count` times it took thread, mm."""
        if not count:
            return self._begins + (row - 1) * self._waited_mm
        return self.afters[count - 1] + max(0, row - self.rows[count - 1] - 1) * self._waited_mm


def parts_of(colour: Colour, string: int, beginnings: Beginnings) -> Parts | None:
    """The parts of a string's colour; None for an ordinary thread."""
    return Parts(colour.sequence, backwards=string in beginnings.backwards) if colour.sequence else None
