"""Working orders: a way through all steps in which nothing is tied before what it rests on."""

from array import array
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from benchmate.craft.work import NOTHING_IN_HAND, ReportProgress, Step, StringInHand, Work


class Order(NamedTuple):
    """A way of working: `sequence[i]` is the step worked i-th (from 0), `place` its inverse.

    `settled` when it is proven that of all orders with as few pick-ups none has less travel of the hands, and of those
    none a more level edge; `least_travel` is what the hands travel at the least in any of them. Both are known of an
    order by segments that has just been found, for what was open then.
    """

    by: str
    sequence: Sequence[int]
    place: Sequence[int]
    settled: bool = False
    least_travel: int = 0


class Ordered(NamedTuple):
    """A step in its order: its number from 1, the step, and the number of the pick-up it belongs to."""

    n: int
    step: Step
    run: int


def by_rows(work: Work, *, from_right: bool = False) -> Order:
    """Row by row, each from left to right, the order of the chart itself; or each from right to left."""
    numbers = range(work.size)
    if not from_right:
        return Order("rows", numbers, numbers)
    sequence = array("L")
    for first, part in work.sub_works():
        for row in range(1, part.rows + 1):
            begin, end = part.span(row)
            steps = range(first + begin, first + end)
            sequence.extend(reversed(steps) if part.works_from_right else steps)
    return from_sequence("rows", sequence)


def by_segments(
    work: Work, history: Sequence[int] = (), *, from_right: bool = False, report: ReportProgress | None = None
) -> Order:
    """The fewest pick-ups for all that is not tied yet, the hands travelling least; `history` is what is, as tied.

    Where there is a choice that makes no difference, the hands begin on the left, or on the right.
    """
    sequence, settled, least_travel = array("L", history), True, 0
    tied = set(history)
    for first, part in work.sub_works():
        open_steps = [number for number in range(first, first + part.size) if number not in tied]
        if not open_steps:
            continue
        hands = _hands(work, sequence, from_right=from_right)
        found = part.plan_segments([number - first for number in tied], hands, from_right=from_right, report=report)
        if found is not None:
            open_steps = [first + number for number in found.steps]
            settled, least_travel = found.settled, found.least_travel
        sequence.extend(open_steps)
    return from_sequence("segments", sequence)._replace(settled=settled, least_travel=least_travel)


def _hands(work: Work, sequence: Sequence[int], *, from_right: bool) -> StringInHand:
    """What is in hand after these steps, and where it was picked up."""
    maker = work.knotting(sequence[-1]) if sequence else 0
    if not maker:
        return NOTHING_IN_HAND
    picked_up = sequence[-1]
    for number in reversed(sequence):
        if work.knotting(number) != maker:
            break
        picked_up = number
    position = work.picked_at(picked_up)
    return StringInHand(maker, len(work.strings) + 1 - position if from_right else position)


def from_sequence(by: str, sequence: Sequence[int]) -> Order:
    """An order from its sequence alone, which must hold every step once."""
    place = array("L", bytes(array("L").itemsize * len(sequence)))
    for index, number in enumerate(sequence):
        place[number] = index
    return Order(by, sequence, place)


def can_be_followed(work: Work, sequence: Sequence[int]) -> bool:
    """True when every step is there once, and none before one that it rests on."""
    if sorted(sequence) != list(range(work.size)):
        return False
    at = 0
    for first, part in work.sub_works():
        steps = [number - first for number in sequence[at : at + part.size]]
        at += part.size
        if not part.can_follow(steps):
            return False
    return True


def runs(work: Work, order: Order) -> Iterator[Ordered]:
    """Every step in working order. `run` goes up by one whenever what is in hand differs from the step before."""
    run, in_hand = 0, None
    for n, number in enumerate(order.sequence, 1):
        maker = work.knotting(number)
        if maker != in_hand:
            run, in_hand = run + 1, maker
        yield Ordered(n, work.step(number), run)


def pickups(work: Work, order: Order, history: Sequence[int] = ()) -> int:
    """How many times a new knotting string is taken in hand, or how many times more once `history` is tied.

    For a step told in words none is.
    """
    makers = [maker for _, part in work.sub_works() for maker in map(part.knotting, range(part.size))]
    tied = set(history)
    open_steps = [makers[number] for number in order.sequence if number not in tied]
    in_hand = makers[history[-1]] if len(history) else None
    return sum(here not in (0, before) for here, before in zip(open_steps, [in_hand, *open_steps], strict=False))


def fewest_left(work: Work, history: Sequence[int] = ()) -> int:
    """The fewest pick-ups of all orders of what is open once `history` is tied; those of a band alone."""
    hands = _hands(work, history, from_right=False)
    return sum(part.fewest_left([number - first for number in set(history)], hands) for first, part in work.sub_works())


def travel(work: Work, order: Order) -> int:
    """How far the hands travel across the band: the distances between successive pick-ups, in positions."""
    total = hands = in_hand = 0
    for number in order.sequence:
        maker = work.knotting(number)
        if maker and maker != in_hand:
            position = work.picked_at(number)
            total += abs(position - hands) if hands else 0
            in_hand, hands = maker, position
    return total
