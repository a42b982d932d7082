"""What a braid is: strands in the slots of a disk, its moves, and one move as the maker meets it."""

from bisect import bisect_left
from collections.abc import Iterator
from typing import NamedTuple

from benchmate.craft.family import ImpossibleStep

MOST_SLOTS = 500
"""More slots than any disk has; as many as there may be strings."""


class Braid(NamedTuple):
    """A braid on a disk: how many slots it has, the strand in each filled one, and one repeat's moves between slots.

    Slots count clockwise from 1. `strands` are the filled slots in rising order and the colour names of what is in
    them; a strand is numbered by the slot it starts from. Every further repeat works the moves `shift` slots further
    on, and slot 0 is the last one.
    """

    slots: int
    strands: tuple[tuple[int, str], ...]
    moves: tuple[tuple[int, int], ...]
    shift: int = 0

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strands, by their slots."""
        return tuple(name for _, name in self.strands)

    def colour_of(self, string: int) -> str:
        """The colour name of the strand that starts from a slot."""
        return self.strands[bisect_left(self.strands, (string,))][1]

    def slot(self, slot: int, repeat: int) -> int:
        """Where a slot of the written moves lies in a repeat, which counts from 0."""
        return (slot - 1 + repeat * self.shift) % self.slots + 1


class BraidMove(NamedTuple):
    """One move of a braid: the strand that starts the braid in slot `strand` goes from one slot to another.

    `row` is the repeat it belongs to, from 1.
    """

    row: int
    source: int
    target: int
    strand: int


class Made(NamedTuple):
    """A move as it is made in some repeat, whether it can be or not.

    `at` is which of a repeat's it is and `repeat` which repeat, both from 0; `strand` is what lies in the slot it
    leaves and `in_the_way` what lies in the slot it goes to, 0 where there is nothing.
    """

    repeat: int
    at: int
    source: int
    target: int
    strand: int
    in_the_way: int


def moves_made(body: Braid, repeats: int) -> Iterator[Made]:
    """The moves of a braid worked so often, one after the other."""
    lies = at_start(body)
    for repeat in range(repeats):
        for at, (written_source, written_target) in enumerate(body.moves):
            source, target = body.slot(written_source, repeat), body.slot(written_target, repeat)
            yield Made(repeat, at, source, target, lies[source - 1], lies[target - 1])
            lies[source - 1], lies[target - 1] = 0, lies[source - 1]


def at_start(body: Braid) -> list[int]:
    """The strand in every slot before anything is moved, 0 where there is none."""
    lies = [0] * body.slots
    for slot, _ in body.strands:
        lies[slot - 1] = slot
    return lies


def impossible_move(body: Braid, repeats: int) -> ImpossibleStep | None:
    """The first move that goes from an empty slot or to a filled one when a braid is worked so often; None if none."""
    wrong = next((made for made in moves_made(body, repeats) if not made.strand or made.in_the_way), None)
    if wrong is None:
        return None
    here, there = wrong.source, wrong.target
    fault = f"slot {there} is filled" if wrong.strand else f"slot {here} is empty"
    where = f" in repeat {wrong.repeat + 1}, where it is {here} > {there}" if wrong.repeat else ""
    source, target = body.moves[wrong.at]
    return ImpossibleStep(wrong.at, f"the move {source} > {target} cannot be made{where}: {fault} then")
