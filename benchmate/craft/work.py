"""A design unrolled into the steps it takes, and what rests on what.

Steps are numbered from 0 in the order of the chart (row by row, left to right). These numbers belong to the design
alone: they stay the same whichever way of working is chosen, so a set of tied steps can be kept as a set of them.
"""

from abc import ABC, abstractmethod
from array import array
from bisect import bisect_right
from collections.abc import Sequence
from functools import cached_property
from itertools import compress
from typing import NamedTuple

from benchmate.craft.design import Design, Diagonal, Written
from benchmate.craft.knots import Knot
from benchmate.craft.steps import Step, Tie, Told

KNOTS = tuple(Knot)
NO_KNOT = len(KNOTS)
CODE: dict[Knot | None, int] = {**{knot: code for code, knot in enumerate(KNOTS)}, None: NO_KNOT}
SWAPS = (*(knot.swaps for knot in KNOTS), False)
FROM_LEFT = tuple(knot.from_left for knot in KNOTS)
NOTHING = -1


class RowSpan(NamedTuple):
    """The steps of one row: `first` up to but not including `end`; none when they are equal."""

    first: int
    end: int


class Work(ABC):
    """The steps of a design and the partial order among them. Every family supplies one.

    `strings` are the colour names of the strings, left to right as they hang at the start; `rows` is how many rows
    (repeats, where there are no rows) there are; `size` how many steps.
    """

    strings: tuple[str, ...]
    rows: int
    size: int

    def parts_of(self) -> "list[tuple[int, Work]]":
        """The works it is made of, one after the other, each with the number of its first step."""
        return [(0, self)]

    @abstractmethod
    def step(self, number: int) -> Step:
        """The step itself. Raises IndexError outside 0 to size - 1."""

    @abstractmethod
    def row_of(self, number: int) -> int:
        """The row of a step, from 1."""

    @abstractmethod
    def span(self, row: int) -> RowSpan:
        """The steps of a row, which counts from 1."""

    @abstractmethod
    def swapped_at(self, number: int) -> int:
        """The left position, from 1, of the two strings that change places in this step; 0 when none do."""

    @abstractmethod
    def maker(self, number: int) -> int:
        """What is taken in hand for the step: the number of the knotting string; 0 where there is no such thing."""

    @abstractmethod
    def passive(self, number: int) -> int:
        """The number of the string that is knotted over; 0 where there is no such thing."""

    @abstractmethod
    def rests_on(self, number: int) -> tuple[int, ...]:
        """The steps directly below this one."""

    @abstractmethod
    def carries(self, number: int) -> tuple[int, ...]:
        """The steps that rest directly on this one."""


class Band(Work):
    """The knots of a diagonal band. Two knots depend on each other only when they share a string."""

    def __init__(self, body: Diagonal, repeats: int) -> None:
        self.strings = body.strings
        self.rows = len(body.rows) * repeats
        self._codes = bytearray()
        self._left = array("H")
        self._left_string = array("H")
        self._right_string = array("H")
        self._row_ends = array("L", [0])
        self._unroll(body, repeats)
        self.size = len(self._codes)

    def _unroll(self, body: Diagonal, repeats: int) -> None:
        plan: list[tuple[bytes, array[int], list[int], list[bool] | None, int, int]] = []
        for row in body.rows:
            lefts = range(row.start, row.start + 2 * len(row.knots), 2)
            codes, positions = bytes(map(CODE.__getitem__, row.knots)), array("H", lefts)
            swaps = [left for left, code in zip(lefts, codes, strict=True) if SWAPS[code]]
            gaps = None
            if NO_KNOT in codes:
                gaps = [code != NO_KNOT for code in codes]
                codes, positions = bytes(compress(codes, gaps)), array("H", compress(lefts, gaps))
            plan.append((codes, positions, swaps, gaps, row.start - 1, row.start - 1 + 2 * len(row.knots)))
        hanging = list(range(1, len(body.strings) + 1))
        for _ in range(repeats):
            for codes, positions, swaps, gaps, first, end in plan:
                lefts_now, rights_now = hanging[first:end:2], hanging[first + 1 : end : 2]
                self._codes += codes
                self._left += positions
                self._left_string.extend(lefts_now if gaps is None else compress(lefts_now, gaps))
                self._right_string.extend(rights_now if gaps is None else compress(rights_now, gaps))
                self._row_ends.append(len(self._codes))
                for left in swaps:
                    hanging[left - 1], hanging[left] = hanging[left], hanging[left - 1]

    def step(self, number: int) -> Tie:
        """The knot itself."""
        if number < 0:
            raise IndexError(number)
        return Tie(
            self.row_of(number),
            self._left[number],
            KNOTS[self._codes[number]],
            self._left_string[number],
            self._right_string[number],
        )

    def row_of(self, number: int) -> int:
        """The row of a knot, from 1, through all repeats."""
        return bisect_right(self._row_ends, number)

    def span(self, row: int) -> RowSpan:
        """The knots of a row."""
        return RowSpan(self._row_ends[row - 1], self._row_ends[row])

    def swapped_at(self, number: int) -> int:
        """The left position of the pair when the knot makes it change places, else 0."""
        return self._left[number] if SWAPS[self._codes[number]] else 0

    def maker(self, number: int) -> int:
        """The number of the knotting string."""
        return (self._left_string if FROM_LEFT[self._codes[number]] else self._right_string)[number]

    def passive(self, number: int) -> int:
        """The number of the passive string."""
        return (self._right_string if FROM_LEFT[self._codes[number]] else self._left_string)[number]

    def left(self, number: int) -> int:
        """The position, from 1, of the left string of the pair."""
        return self._left[number]

    def from_left(self, number: int) -> bool:
        """True when the left string of the pair makes the knot."""
        return FROM_LEFT[self._codes[number]]

    def rests_on(self, number: int) -> tuple[int, ...]:
        """The last knot before this one on each of its two strings, if there is one; lowest first, each once."""
        below_left, below_right, _, _ = self._links
        return _distinct(below_left[number], below_right[number])

    def carries(self, number: int) -> tuple[int, ...]:
        """The next knot after this one on each of its two strings, if there is one; lowest first, each once."""
        _, _, above_left, above_right = self._links
        return _distinct(above_left[number], above_right[number])

    @cached_property
    def _links(self) -> tuple["array[int]", "array[int]", "array[int]", "array[int]"]:
        """For every knot, its neighbours below and above on its left string and on its right string."""
        size, most = self.size, len(self.strings) + 1
        below_left, below_right, above_left, above_right = (array("l", [NOTHING]) * size for _ in range(4))
        latest = [NOTHING] * most
        for number, (left, right) in enumerate(zip(self._left_string, self._right_string, strict=True)):
            for string, below in ((left, below_left), (right, below_right)):
                previous = latest[string]
                below[number] = previous
                if previous != NOTHING:
                    (above_left if self._left_string[previous] == string else above_right)[previous] = number
                latest[string] = number
        return below_left, below_right, above_left, above_right


class Telling(Work):
    """The steps of a piece told in words. Each rests on the one before."""

    def __init__(self, body: Written, repeats: int) -> None:
        self.strings = body.strings
        self.rows = repeats
        self._steps = body.steps
        self._firsts = array("L", [0])
        for written in body.steps:
            self._firsts.append(self._firsts[-1] + written.times)
        self._once = self._firsts[-1]
        self.size = self._once * repeats

    def step(self, number: int) -> Told:
        """The instruction, and which of its times it is."""
        if not 0 <= number < self.size:
            raise IndexError(number)
        within = number % self._once
        index = bisect_right(self._firsts, within) - 1
        written = self._steps[index]
        return Told(self.row_of(number), written.do, written.hint, within - self._firsts[index] + 1, written.times)

    def row_of(self, number: int) -> int:
        """The repeat a step belongs to, from 1."""
        return number // self._once + 1

    def span(self, row: int) -> RowSpan:
        """The steps of a repeat."""
        return RowSpan((row - 1) * self._once, row * self._once)

    def swapped_at(self, number: int) -> int:
        """Always 0: nobody says how the strings hang in a piece told in words."""
        return 0

    def maker(self, number: int) -> int:
        """Always 0: no string is known to be in hand."""
        return 0

    def passive(self, number: int) -> int:
        """Always 0: no string is known to be knotted over."""
        return 0

    def rests_on(self, number: int) -> tuple[int, ...]:
        """The step before."""
        return (number - 1,) if number else ()

    def carries(self, number: int) -> tuple[int, ...]:
        """The step after."""
        return (number + 1,) if number + 1 < self.size else ()


class Part(NamedTuple):
    """One design within a whole piece: what it is called there, its design, its steps, and the number of its first."""

    called: str
    design: Design
    work: Work
    first: int


class Whole(Work):
    """A start, a band and a finish worked as one piece: the band rests on all the start, the finish on all the band."""

    def __init__(self, parts: Sequence[tuple[str, Design, Work]], main: int) -> None:
        self.parts: list[Part] = []
        self._firsts = array("L")
        self._row_firsts = array("L")
        self.size = 0
        self.rows = 0
        for called, design, work in parts:
            self.parts.append(Part(called, design, work, self.size))
            self._firsts.append(self.size)
            self._row_firsts.append(self.rows)
            self.size += work.size
            self.rows += work.rows
        self.main = self.parts[main]
        self.strings = self.main.work.strings

    def parts_of(self) -> list[tuple[int, Work]]:
        """The start, the band and the finish, as far as there are any."""
        return [(part.first, part.work) for part in self.parts]

    def part_of(self, number: int) -> Part:
        """The part a step belongs to."""
        return self.parts[self._part_index(number)]

    def _part_index(self, number: int) -> int:
        if not 0 <= number < self.size:
            raise IndexError(number)
        return bisect_right(self._firsts, number) - 1

    def step(self, number: int) -> Step:
        """The step, with the row it has in its own part."""
        part = self.part_of(number)
        return part.work.step(number - part.first)

    def row_of(self, number: int) -> int:
        """The row of a step, from 1, through all parts."""
        index = self._part_index(number)
        part = self.parts[index]
        return self._row_firsts[index] + part.work.row_of(number - part.first)

    def span(self, row: int) -> RowSpan:
        """The steps of a row counted through all parts."""
        index = bisect_right(self._row_firsts, row - 1) - 1
        part = self.parts[index]
        first, end = part.work.span(row - self._row_firsts[index])
        return RowSpan(part.first + first, part.first + end)

    def swapped_at(self, number: int) -> int:
        """As in the part; strings are known only for the main design."""
        part = self.part_of(number)
        return part.work.swapped_at(number - part.first) if part is self.main else 0

    def maker(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.maker(number - part.first)

    def passive(self, number: int) -> int:
        """As in the part."""
        part = self.part_of(number)
        return part.work.passive(number - part.first)

    def rests_on(self, number: int) -> tuple[int, ...]:
        """As in the part; what rests on nothing there rests on whatever the part before left open at its top."""
        index = self._part_index(number)
        part = self.parts[index]
        below = part.work.rests_on(number - part.first)
        return tuple(part.first + other for other in below) or self._open_ends(index - 1, top=True)

    def carries(self, number: int) -> tuple[int, ...]:
        """As in the part; what carries nothing there carries whatever the next part begins with."""
        index = self._part_index(number)
        part = self.parts[index]
        above = part.work.carries(number - part.first)
        return tuple(part.first + other for other in above) or self._open_ends(index + 1, top=False)

    def _open_ends(self, index: int, *, top: bool) -> tuple[int, ...]:
        """What a part ends with at its top, or begins with; an empty part is looked through. None beyond the ends."""
        if not 0 <= index < len(self.parts):
            return ()
        part = self.parts[index]
        if part.work.size == 0:
            return self._open_ends(index - 1 if top else index + 1, top=top)
        ends = self._ends.get((index, top))
        if ends is None:
            beyond = part.work.carries if top else part.work.rests_on
            ends = tuple(part.first + number for number in range(part.work.size) if not beyond(number))
            self._ends[index, top] = ends
        return ends

    @cached_property
    def _ends(self) -> dict[tuple[int, bool], tuple[int, ...]]:
        return {}


def work_for(design: Design, repeats: int | None = None) -> Work:
    """The steps of a design by itself, worked `repeats` times (the design's own number when None)."""
    times = design.repeats if repeats is None else repeats
    body = design.body
    return Band(body, times) if isinstance(body, Diagonal) else Telling(body, times)


def whole_work(design: Design, start: Design | None, finish: Design | None, repeats: int | None = None) -> Whole:
    """The steps of a design with the start and the finish it is worked with."""
    parts = [("start", start), ("band", design), ("finish", finish)]
    return Whole(
        [
            (called, part, work_for(part, repeats if part is design else None))
            for called, part in parts
            if part is not None
        ],
        main=0 if start is None else 1,
    )


def _distinct(one: int, other: int) -> tuple[int, ...]:
    if one == other:
        return () if one == NOTHING else (one,)
    if NOTHING in (one, other):
        return (max(one, other),)
    return (min(one, other), max(one, other))
