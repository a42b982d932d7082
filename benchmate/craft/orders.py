"""Working orders: sequences of all steps in which no step comes before one it rests on."""

from array import array
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from benchmate.craft.work import NOTHING_IN_HAND, ReportProgress, Step, StringInHand, Work


class Order(NamedTuple):
    """A working order: `sequence[i]` is step number i of it (from 0), `place` the inverse.

    `settled` means it is proven that no order with as few pick-ups has less travel of the hands, or the same travel and
    a more level edge. `least_travel` is a lower bound on the travel of all those orders. Both hold for an order by
    segments that was just planned, and cover only the steps that were open then.
    """

    by: str
    sequence: Sequence[int]
    place: Sequence[int]
    settled: bool = False
    least_travel: int = 0


class Ordered(NamedTuple):
    """A step in its order: its number from 1, the step, and the number of its pick-up."""

    n: int
    step: Step
    run: int


def by_rows(work: Work, *, from_right: bool = False) -> Order:
    """Row by row, each from left to right (the order of the chart) or from right to left."""
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
    """The order with the fewest pick-ups and the least travel for the open steps; `history` are the tied ones, as tied.

    Between equal orders, the one that begins on the left (or on the right) wins.
    """
    sequence, settled, least_travel = array("L", history), True, 0
    tied = set(history)
    for first, part in work.sub_works():
        open_steps = [number for number in range(first, first + part.size) if number not in tied]
        if not open_steps:
            continue
        hands = _string_in_hand(work, sequence, from_right=from_right)
        found = part.plan_segments([number - first for number in tied], hands, from_right=from_right, report=report)
        if found is not None:
            open_steps = [first + number for number in found.steps]
            settled, least_travel = found.settled, found.least_travel
        sequence.extend(open_steps)
    return from_sequence("segments", sequence)._replace(settled=settled, least_travel=least_travel)


def _string_in_hand(work: Work, sequence: Sequence[int], *, from_right: bool) -> StringInHand:
    """The string in hand after these steps, and where it was picked up."""
    knotting = work.hand(sequence[-1]) if sequence else 0
    if not knotting:
        return NOTHING_IN_HAND
    picked_up = sequence[-1]
    for number in reversed(sequence):
        if work.hand(number) != knotting:
            break
        picked_up = number
    position = work.picked_at(picked_up)
    return StringInHand(knotting, len(work.strings) + 1 - position if from_right else position)


def from_sequence(by: str, sequence: Sequence[int]) -> Order:
    """An order from its sequence, which must hold every step once."""
    place = array("L", bytes(array("L").itemsize * len(sequence)))
    for index, number in enumerate(sequence):
        place[number] = index
    return Order(by, sequence, place)


def can_be_followed(work: Work, sequence: Sequence[int]) -> bool:
    """True when the sequence holds every step once, and none before one it rests on."""
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
    """Every step in working order. `run` goes up by one whenever the string in hand changes."""
    run, in_hand = 0, None
    for n, number in enumerate(order.sequence, 1):
        knotting = work.knotting(number)
        if knotting != in_hand:
            run, in_hand = run + 1, knotting
        yield Ordered(n, work.step(number), run)


def pickups(work: Work, order: Order, history: Sequence[int] = ()) -> int:
    """The number of pick-ups of an order, or of the rest of it once `history` is tied. Written steps have none."""
    knotting_strings = [knotting for _, part in work.sub_works() for knotting in map(part.hand, range(part.size))]
    tied = set(history)
    open_steps = [knotting_strings[number] for number in order.sequence if number not in tied]
    in_hand = knotting_strings[history[-1]] if len(history) else None
    return sum(here not in (0, before) for here, before in zip(open_steps, [in_hand, *open_steps], strict=False))


def fewest_left(work: Work, history: Sequence[int] = ()) -> int:
    """The fewest pick-ups of any order of the open steps once `history` is tied."""
    hands = _string_in_hand(work, history, from_right=False)
    return sum(part.fewest_left([number - first for number in set(history)], hands) for first, part in work.sub_works())


def travel(work: Work, order: Order) -> int:
    """The travel of the hands across the band: the distances between successive pick-ups, in positions."""
    total = hands = in_hand = 0
    for number in order.sequence:
        knotting = work.knotting(number)
        if knotting and knotting != in_hand:
            position = work.picked_at(number)
            total += abs(position - hands) if hands else 0
            in_hand, hands = knotting, position
    return total
