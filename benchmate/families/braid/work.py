"""A braid on a slotted disk, unrolled move by move."""

from array import array
from collections.abc import Collection
from functools import cached_property

from benchmate.craft.steps_in_doubt import InDoubt
from benchmate.craft.work import Links, RowSpan, Work, distinct, links
from benchmate.families.braid.body import Braid, BraidMove, at_start, tried_moves


class BraidWork(Work):
    """The moves of a braid. Two depend on each other only when they share a slot.

    Positions are slots. A strand has the number of the slot it starts from. The maker lets go of a strand after each
    move.
    """

    def __init__(self, body: Braid, repeats: int) -> None:
        """Every move of `body` must be possible in all repeats."""
        self.strings = body.strings
        self.rows = repeats
        self._start = at_start(body)
        self._once = len(body.moves)
        self.size = self._once * repeats
        self._source, self._target, self._strand = array("H"), array("H"), array("H")
        for move in tried_moves(body, repeats):
            self._source.append(move.source)
            self._target.append(move.target)
            self._strand.append(move.strand)

    @property
    def colours(self) -> dict[int, str]:
        """The colour names of the strands by their numbers."""
        return dict(zip(filter(None, self._start), self.strings, strict=True))

    def strand(self, number: int) -> int:
        """The number of the strand that a move takes."""
        return self._strand[number]

    def at_start(self) -> list[int]:
        """The strand in every slot, 0 for an empty slot."""
        return list(self._start)

    @property
    def resource_count(self) -> int:
        """The slots."""
        return len(self._start)

    def step(self, number: int) -> BraidMove:
        """The move itself."""
        if number < 0:
            raise IndexError(number)
        row, strand = self.row_of(number), self._strand[number]
        return BraidMove(row, self._source[number], self._target[number], strand, is_first=not number)

    def in_doubt(self, doubted: Collection[int]) -> "BraidWork":
        """The same moves, of which some were left out or made in other ways."""
        return BraidInDoubt(self, doubted)

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
        """The slot the strand goes to."""
        return self._target[number]

    def knotting(self, number: int) -> int:
        """Always 0: the maker lets go of a strand after its move."""
        return 0

    def passive(self, number: int) -> int:
        """Always 0: nothing is knotted over."""
        return 0

    def rests_on(self, number: int) -> tuple[int, ...]:
        """The last moves before this one at its two slots; lowest first, each once."""
        below_source, below_target, _, _ = self._links
        return distinct(below_source[number], below_target[number])

    def carries(self, number: int) -> tuple[int, ...]:
        """The next moves after this one at its two slots; lowest first, each once."""
        _, _, above_source, above_target = self._links
        return distinct(above_source[number], above_target[number])

    @cached_property
    def _links(self) -> Links:
        return links(self._source, self._target, len(self._start))


class BraidInDoubt(InDoubt, BraidWork):
    """The moves of a braid, of some of which it is known only what the chart has.

    Another strand than its own may have gone the way of each, and then on through all later moves of that strand.
    """

    def step(self, number: int) -> BraidMove:
        """The move as far as it is certain."""
        step = super().step(number)
        if any(number >= doubted and step.strand == self.strand(doubted) for doubted in self._doubted):
            return step._replace(strand=0, unsure=number in self._doubted)
        return step
