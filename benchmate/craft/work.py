"""A design unrolled into its steps, and what rests on what.

Steps are numbered from 0 in the order of the chart (row by row, left to right). The numbers do not depend on the way of
working, so a set of numbers is enough to store the tied steps.
"""

from abc import ABC, abstractmethod
from array import array
from collections.abc import Callable, Collection, Sequence
from typing import NamedTuple, Protocol

from benchmate.craft.trouble.made_otherwise import Made, MadeOtherwise

NOTHING = -1
"""No step."""


class Step(Protocol):
    """One step: a knot to tie, a strand to move, or an instruction to follow."""

    @property
    def row(self) -> int:
        """The row or the repeat it belongs to, from 1 through all repeats."""


class RowSpan(NamedTuple):
    """The steps of one row: from `first` up to but not including `end`; none when they are equal."""

    first: int
    end: int


class StringInHand(NamedTuple):
    """The number of the string in hand (0 for none) and the position of its pick-up (0 for none)."""

    string: int
    position: int


NOTHING_IN_HAND = StringInHand(0, 0)

ReportProgress = Callable[[int, int], None]
"""Called now and then with the segments placed so far and in all; an exception it raises ends the search."""


ONE_WAY = "only the knots of a diagonal band can be made otherwise"


class CannotBeMade(ValueError):
    """A step cannot be made in that way; the text says why."""


class SegmentPlan(NamedTuple):
    """The open steps in an order with the fewest pick-ups. `settled` means that no such order is better; `least_travel`
    is a lower bound on the travel of all such orders, in positions.
    """

    steps: list[int]
    settled: bool
    least_travel: int


class Work(ABC):
    """The steps of a design and the partial order among them. Every family has its own.

    `strings` are the colour names of the strings, left to right at the start; `rows` is the number of rows (of repeats
    in a family without rows), `size` the number of steps.
    """

    strings: tuple[str, ...]
    rows: int
    size: int
    unsure_strings: frozenset[int] = frozenset()
    """The strings of which nobody knows where they hang."""
    works_from_right = False
    """Whether rows can also be worked from right to left."""
    positions_per_step = 1
    """How many positions across the band a step covers."""

    def at_start(self) -> list[int]:
        """The number of the string at each position before the first step, 0 for none."""
        return list(range(1, len(self.strings) + 1))

    @property
    def resource_count(self) -> int:
        """How many strings (or slots) there are; each step takes two of them."""
        return len(self.strings)

    def sub_works(self) -> "list[tuple[int, Work]]":
        """The works it consists of, in order, each with the number of its first step."""
        return [(0, self)]

    @abstractmethod
    def step(self, number: int) -> Step:
        """The step itself. Raises IndexError outside 0 to size - 1."""

    def made_otherwise(self, made: MadeOtherwise) -> "Work":
        """The same steps with the same numbers, of which those in `made` are made otherwise.

        What rests on what stays the same. Raises CannotBeMade in a family whose steps can only be made in one way.
        """
        raise CannotBeMade(ONE_WAY)

    def how_made(self, number: int) -> Made:
        """How a step is made. Raises CannotBeMade in a family whose steps can only be made in one way."""
        raise CannotBeMade(ONE_WAY)

    def in_doubt(self, doubted: Collection[int]) -> "Work":
        """The same steps, to be told where nobody knows how these tied ones were made: with only what is certain then.

        In a family whose steps can only be made in one way that is all.
        """
        return self

    def colour_in_doubt(self, number: int) -> bool:
        """Whether nobody knows which string knots in a step, so that its colour is not certain."""
        return False

    @abstractmethod
    def row_of(self, number: int) -> int:
        """The row of a step, from 1."""

    @abstractmethod
    def span(self, row: int) -> RowSpan:
        """The steps of a row, which counts from 1."""

    @abstractmethod
    def swapped_at(self, number: int) -> int:
        """The first of the two positions whose strings swap in this step (in a band the left one); 0 for no swap."""

    def swapped_with(self, number: int) -> int:
        """The second of the two positions; meaningless without a swap."""
        return self.swapped_at(number) + 1

    def change_places(self, number: int, hanging: list[int]) -> None:
        """Swaps strings in `hanging` (a list as from `at_start`) as the step does; a second call undoes it."""
        one = self.swapped_at(number)
        if one:
            other = self.swapped_with(number)
            hanging[one - 1], hanging[other - 1] = hanging[other - 1], hanging[one - 1]

    @abstractmethod
    def knotting(self, number: int) -> int:
        """The number of the knotting string, 0 for a step without one."""

    def takes(self, number: int) -> tuple[int, ...]:
        """The numbers of the strings (or slots) that a step takes; none for a written step, which takes them all."""
        return (self.knotting(number), self.passive(number)) if self.knotting(number) else ()

    def hand(self, number: int) -> int:
        """The string that planning takes to be in hand for a step, 0 for none.

        It is the knotting string. A knot left out is planned as if one of its strings made it, so that it is reached
        in its turn.
        """
        return self.knotting(number)

    def run_key(self, number: int) -> int:
        """A number that the steps of one run share: the string in hand."""
        return self.knotting(number)

    @abstractmethod
    def passive(self, number: int) -> int:
        """The number of the passive string, 0 for a step without one."""

    @abstractmethod
    def rests_on(self, number: int) -> tuple[int, ...]:
        """The steps this one rests on directly."""

    @abstractmethod
    def carries(self, number: int) -> tuple[int, ...]:
        """The steps that rest on this one directly."""

    def lays_out_at(self) -> int | None:
        """The step before which (or, in written steps, with which) the strings are laid out; None for none."""
        return 0

    def picked_at(self, number: int) -> int:
        """The position, from 1, of the knotting string before the step; 0 if unknown."""
        return 0

    def fewest_pickups(self) -> int | None:
        """The fewest pick-ups of any order; None in a family without pick-ups."""
        return None

    def fewest_left(self, tied: Collection[int], hands: StringInHand) -> int:
        """The fewest pick-ups of any order of the open steps once `tied` are tied; 0 where there is only one order."""
        return 0

    def plan_segments(
        self, tied: Collection[int], hands: StringInHand, *, from_right: bool, report: ReportProgress | None = None
    ) -> SegmentPlan | None:
        """The open steps in an order with the fewest pick-ups; None where there is only one order.

        `hands` is the string in hand before; its position counts from the right when `from_right`.
        """
        return None

    def can_follow(self, steps: Sequence[int]) -> bool:
        """True when all steps are in an order in which they can be done."""
        return list(steps) == list(range(self.size))


Links = tuple["array[int]", "array[int]", "array[int]", "array[int]"]


def links(ones: Sequence[int], others: Sequence[int], most: int) -> Links:
    """For every step, its neighbours below and above on the two strings (or slots) it takes.

    `ones` and `others` are those strings, numbered 1 to `most`. The four results are: below on the first, below on the
    second, above on the first, above on the second; -1 for none.
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
    """The steps among two links, lowest first, each once."""
    if one == other:
        return () if one == NOTHING else (one,)
    if NOTHING in (one, other):
        return (max(one, other),)
    return (min(one, other), max(one, other))
