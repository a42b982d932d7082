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

from benchmate.craft.design import Diagonal
from benchmate.craft.knots import Knot
from benchmate.craft.steps import Step, Tie

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
    swaps_neighbours = True
    """Whether the strings that change places in a step always hang side by side."""

    def at_start(self) -> list[int]:
        """What hangs at each position before anything is done: the number of a string, 0 where there is none."""
        return list(range(1, len(self.strings) + 1))

    @property
    def taken(self) -> int:
        """How many things there are of which each step takes two: the strings."""
        return len(self.strings)

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
        """The one position, from 1, of the two whose strings change places in this step; 0 when none do.

        In a band it is the left one.
        """

    def swapped_with(self, number: int) -> int:
        """The other of the two positions; of no meaning where none are exchanged."""
        return self.swapped_at(number) + 1

    @abstractmethod
    def maker(self, number: int) -> int:
        """What is taken in hand for the step: the number of the knotting string; 0 where there is no such thing."""

    def in_one_go(self, number: int) -> int:
        """What a step shares with those that follow it and can be taken in one go with it: the string in hand."""
        return self.maker(number)

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
        return distinct(below_left[number], below_right[number])

    def carries(self, number: int) -> tuple[int, ...]:
        """The next knot after this one on each of its two strings, if there is one; lowest first, each once."""
        _, _, above_left, above_right = self._links
        return distinct(above_left[number], above_right[number])

    @cached_property
    def _links(self) -> "Links":
        """For every knot, its neighbours below and above on its left string and on its right string."""
        return links(self._left_string, self._right_string, len(self.strings))


Links = tuple["array[int]", "array[int]", "array[int]", "array[int]"]


def links(ones: Sequence[int], others: Sequence[int], most: int) -> Links:
    """For every step, its neighbours below and above on the one of the two things it takes, and on the other.

    What a step takes are numbers from 1 to `most`. The answer is: below on the one, below on the other, above on the
    one, above on the other; -1 where there is none.
    """
    below_one, below_other, above_one, above_other = (array("l", [NOTHING]) * len(ones) for _ in range(4))
    latest = [NOTHING] * (most + 1)
    for number, (one, other) in enumerate(zip(ones, others, strict=True)):
        for thing, below in ((one, below_one), (other, below_other)):
            previous = latest[thing]
            below[number] = previous
            if previous != NOTHING:
                (above_one if ones[previous] == thing else above_other)[previous] = number
            latest[thing] = number
    return below_one, below_other, above_one, above_other


def distinct(one: int, other: int) -> tuple[int, ...]:
    """Two steps of a link, lowest first, each once, as far as there are any."""
    if one == other:
        return () if one == NOTHING else (one,)
    if NOTHING in (one, other):
        return (max(one, other),)
    return (min(one, other), max(one, other))
