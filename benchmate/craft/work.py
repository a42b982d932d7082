"""A design unrolled into the steps it takes, and what rests on what.

Steps are numbered from 0 in the order of the chart (row by row, left to right). These numbers belong to the design
alone: they stay the same whichever way of working is chosen, so a set of tied steps can be kept as a set of them.
"""

from abc import ABC, abstractmethod
from array import array
from collections.abc import Callable, Collection, Sequence
from typing import NamedTuple, Protocol

NOTHING = -1


class Step(Protocol):
    """A step as the maker meets it: a knot to tie, a strand to move, an instruction to follow."""

    @property
    def row(self) -> int:
        """The row, or the repeat, it belongs to, from 1 through all repeats."""


class RowSpan(NamedTuple):
    """The steps of one row: `first` up to but not including `end`; none when they are equal."""

    first: int
    end: int


class StringInHand(NamedTuple):
    """What was in hand, a string's number (0 for none), and the position at which it was picked up (0 for none)."""

    string: int
    position: int


NOTHING_IN_HAND = StringInHand(0, 0)

ReportProgress = Callable[[int, int], None]
"""Told from time to time how many of how many segments have been laid; what it raises ends the search."""


class SegmentPlan(NamedTuple):
    """The open steps in an order with the fewest pick-ups, whether it is settled that no such order is better, and a
    number of positions that the hands travel at the least in any of those.
    """

    steps: list[int]
    settled: bool
    least_travel: int


class Work(ABC):
    """The steps of a design and the partial order among them. Every family supplies one.

    `strings` are the colour names of the strings, left to right as they hang at the start; `rows` is how many rows
    (repeats, where there are no rows) there are; `size` how many steps.
    """

    strings: tuple[str, ...]
    rows: int
    size: int
    works_from_right = False
    """Whether a row can be worked from either side."""
    positions_per_step = 1
    """How many positions across the band a step takes."""

    def at_start(self) -> list[int]:
        """What hangs at each position before anything is done: the number of a string, 0 where there is none."""
        return list(range(1, len(self.strings) + 1))

    @property
    def resource_count(self) -> int:
        """How many things there are of which each step takes two: the strings."""
        return len(self.strings)

    def sub_works(self) -> "list[tuple[int, Work]]":
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

    def change_places(self, number: int, hanging: list[int]) -> None:
        """Has the strings change places as they do in a step; a second time undoes it.

        `hanging` is what hangs at each position, as `at_start` gives it.
        """
        one = self.swapped_at(number)
        if one:
            other = self.swapped_with(number)
            hanging[one - 1], hanging[other - 1] = hanging[other - 1], hanging[one - 1]

    @abstractmethod
    def knotting(self, number: int) -> int:
        """What is taken in hand for the step: the number of the knotting string; 0 where there is no such thing."""

    def run_key(self, number: int) -> int:
        """What a step shares with those that follow it and can be taken in one go with it: the string in hand."""
        return self.knotting(number)

    @abstractmethod
    def passive(self, number: int) -> int:
        """The number of the string that is knotted over; 0 where there is no such thing."""

    @abstractmethod
    def rests_on(self, number: int) -> tuple[int, ...]:
        """The steps directly below this one."""

    @abstractmethod
    def carries(self, number: int) -> tuple[int, ...]:
        """The steps that rest directly on this one."""

    def picked_at(self, number: int) -> int:
        """The position, from 1, at which the knotting string of a step hangs before it; 0 where nobody knows."""
        return 0

    def fewest_pickups(self) -> int | None:
        """The fewest pick-ups of all orders of the steps; None where nothing is picked up that could be counted."""
        return None

    def fewest_left(self, tied: Collection[int], hands: StringInHand) -> int:
        """The fewest pick-ups of all orders of what is open once `tied` is; 0 where there is only the given order."""
        return 0

    def plan_segments(
        self, tied: Collection[int], hands: StringInHand, *, from_right: bool, report: ReportProgress | None = None
    ) -> SegmentPlan | None:
        """What is open in an order with the fewest pick-ups; None where there is only the given order.

        `hands` are what was in hand before; its position counts from the right when `from_right`.
        """
        return None

    def can_follow(self, steps: Sequence[int]) -> bool:
        """True when the steps, of which there are as many as in all, come in an order in which they can be done."""
        return list(steps) == list(range(self.size))


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
