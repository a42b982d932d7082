"""A braid: the strands in the slots of a disk, its moves, and one move as a step."""

from bisect import bisect_left
from collections.abc import Iterator
from typing import NamedTuple

from benchmate.craft.family import ImpossibleStep

MOST_SLOTS = 500
"""The most slots of a disk, equal to the most strings of a design."""


class Braid(NamedTuple):
    """A braid on a disk: its number of slots, the strand in each filled slot, and the moves of one repeat.

    Slots count clockwise from 1. `strands` are the filled slots in rising order, each with its colour name; a strand
    has the number of the slot it starts from. Each further repeat works the same moves `shift` slots further on; slot
    0 is the last slot.
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
        """The slot that a written slot becomes in a repeat, which counts from 0."""
        return (slot - 1 + repeat * self.shift) % self.slots + 1


class BraidMove(NamedTuple):
    """One move of a braid: the strand that started in slot `strand` goes from one slot to another.

    `row` is the repeat it belongs to, from 1. `is_first` is true for the first move of all. `strand` is 0 where nobody
    knows which one it was. A move is `unsure` where nobody knows what was done instead of it.
    """

    row: int
    source: int
    target: int
    strand: int
    is_first: bool = False
    unsure: bool = False


class TriedMove(NamedTuple):
    """A move in some repeat, possible or not.

    `at` is its place in the repeat and `repeat` the repeat, both from 0. `strand` is the strand in the slot it leaves
    and `in_the_way` the strand in the slot it goes to, 0 for an empty slot.
    """

    repeat: int
    at: int
    source: int
    target: int
    strand: int
    in_the_way: int


def tried_moves(body: Braid, repeats: int) -> Iterator[TriedMove]:
    """The moves of a braid in order, through all repeats."""
    lies = at_start(body)
    for repeat in range(repeats):
        for at, (written_source, written_target) in enumerate(body.moves):
            source, target = body.slot(written_source, repeat), body.slot(written_target, repeat)
            yield TriedMove(repeat, at, source, target, lies[source - 1], lies[target - 1])
            lies[source - 1], lies[target - 1] = 0, lies[source - 1]


def at_start(body: Braid) -> list[int]:
    """The strand in every slot before the first move, 0 for an empty slot."""
    lies = [0] * body.slots
    for slot, _ in body.strands:
        lies[slot - 1] = slot
    return lies


def impossible_move(body: Braid, repeats: int) -> ImpossibleStep | None:
    """The first move that goes from an empty slot or to a filled one; None when all moves are possible."""
    wrong = next((move for move in tried_moves(body, repeats) if not move.strand or move.in_the_way), None)
    if wrong is None:
        return None
    here, there = wrong.source, wrong.target
    fault = f"slot {there} is filled" if wrong.strand else f"slot {here} is empty"
    where = f" in repeat {wrong.repeat + 1} (as {here} > {there})" if wrong.repeat else ""
    source, target = body.moves[wrong.at]
    return ImpossibleStep(wrong.at, f"the move {source} > {target} is not possible{where}: {fault} by then")
