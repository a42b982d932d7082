"""A braid on a slotted disk, unrolled: move by move."""

from array import array
from functools import cached_property

from benchmate.craft.design import Braid
from benchmate.craft.steps import Move
from benchmate.craft.work import Links, RowSpan, Work, distinct, links


class Disk(Work):
    """The moves of a braid. Two depend on each other only when they share a slot.

    Positions are the slots. A strand has the number of the slot it starts from, and no strand is taken in hand for more
    than its move.
    """

    swaps_neighbours = False

    def __init__(self, body: Braid, repeats: int) -> None:
        """`body` has no move from an empty slot or to a filled one in so many repeats."""
        self.strings = body.strings
        self.rows = repeats
        self._start = [0] * body.slots
        for slot, _ in body.strands:
            self._start[slot - 1] = slot
        self._once = len(body.moves)
        self.size = self._once * repeats
        self._source, self._target, self._strand = array("H"), array("H"), array("H")
        lies = self.at_start()
        for repeat in range(repeats):
            for written in body.moves:
                source, target = body.slot(written[0], repeat), body.slot(written[1], repeat)
                self._source.append(source)
                self._target.append(target)
                self._strand.append(lies[source - 1])
                lies[source - 1], lies[target - 1] = 0, lies[source - 1]

    def at_start(self) -> list[int]:
        """The strand in every slot, 0 where there is none."""
        return list(self._start)

    @property
    def taken(self) -> int:
        """The slots."""
        return len(self._start)

    def step(self, number: int) -> Move:
        """The move itself."""
        if number < 0:
            raise IndexError(number)
        return Move(self.row_of(number), self._source[number], self._target[number], self._strand[number])

    def row_of(self, number: int) -> int:
        """The repeat a move belongs to, from 1."""
        return number // self._once + 1

    def span(self, row: int) -> RowSpan:
        """The moves of a repeat."""
        return RowSpan((row - 1) * self._once, row * self._once)

    def swapped_at(self, number: int) -> int:
        """The slot the strand leaves."""
        return self._source[number]

    def swapped_with(self, number: int) -> int:
        """The slot the strand comes to."""
        return self._target[number]

    def maker(self, number: int) -> int:
        """Always 0: a strand is let go of after its move."""
        return 0

    def passive(self, number: int) -> int:
        """Always 0: nothing is knotted over."""
        return 0

    def rests_on(self, number: int) -> tuple[int, ...]:
        """The last move before this one at each of its two slots, if there is one; lowest first, each once."""
        below_source, below_target, _, _ = self._links
        return distinct(below_source[number], below_target[number])

    def carries(self, number: int) -> tuple[int, ...]:
        """The next move after this one at each of its two slots, if there is one; lowest first, each once."""
        _, _, above_source, above_target = self._links
        return distinct(above_source[number], above_target[number])

    @cached_property
    def _links(self) -> Links:
        return links(self._source, self._target, len(self._start))
