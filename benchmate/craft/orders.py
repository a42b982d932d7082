"""Working orders: a way through all steps in which nothing is tied before what it rests on."""

from array import array
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from benchmate.craft.steps import Step
from benchmate.craft.work import Work


class Order(NamedTuple):
    """A way of working: `sequence[i]` is the step worked i-th (from 0), `place` its inverse."""

    by: str
    sequence: Sequence[int]
    place: Sequence[int]


class Ordered(NamedTuple):
    """A step in its order: its number from 1, the step, and the number of the pick-up it belongs to."""

    n: int
    step: Step
    run: int


def by_rows(work: Work) -> Order:
    """Row by row, each from left to right: the order of the chart itself."""
    numbers = range(work.size)
    return Order("rows", numbers, numbers)


def from_sequence(by: str, sequence: Sequence[int]) -> Order:
    """An order from its sequence alone, which must hold every step once."""
    place = array("L", bytes(array("L").itemsize * len(sequence)))
    for index, number in enumerate(sequence):
        place[number] = index
    return Order(by, sequence, place)


def runs(work: Work, order: Order) -> Iterator[Ordered]:
    """Every step in working order. `run` goes up by one whenever what is in hand differs from the step before."""
    run, in_hand = 0, None
    for n, number in enumerate(order.sequence, 1):
        maker = work.maker(number)
        if maker != in_hand:
            run, in_hand = run + 1, maker
        yield Ordered(n, work.step(number), run)


def pickups(work: Work, order: Order) -> int:
    """How many times a new knotting string is taken in hand."""
    makers = [work.maker(number) for number in order.sequence]
    return sum(here != before for here, before in zip(makers, [None, *makers], strict=False))


def fewest_pickups_bound(work: Work) -> int:
    """A number of pick-ups that no order of the knots of a diagonal band can go below.

    A string made twice in one pick-up with nothing tied on it in between makes both knots one after the other along
    itself. So along each string every unbroken series of knots it makes costs at least one pick-up of its own.
    """
    made_last: dict[int, bool] = {}
    count = 0
    for number in range(work.size):
        maker = work.maker(number)
        if not made_last.get(maker, False):
            count += 1
        made_last[maker] = True
        made_last[work.passive(number)] = False
    return count
