"""How much a design asks of the maker, as one number to sort by: what is easy comes first."""

from collections.abc import Sequence
from math import log2
from typing import NamedTuple

from benchmate.craft.design import Alpha, Braid, Design, Diagonal
from benchmate.craft.orders import by_rows, pickups
from benchmate.craft.work import Band
from benchmate.families.alpha.work import Picture
from benchmate.families.diagonal.segments import fewest_pickups


class Effort(NamedTuple):
    """What makes a design hard to work, whatever its length: a long band of an easy rule is easy.

    - `strings`, at least 0: what has to be kept sorted and out of each other's way. The strings of a diagonal band; the
      base strings and the leading strings of an alpha band; the strands of a braid; the strings a written piece names.
    - `kinds`, at least 1: what the hands have to tell apart. The different knots, and no knot as one more; the
      different distances round the disk that a strand is moved; 1 for a written piece, whose steps say it all.
    - `pickups`, at least 0, a mean: how often something else is taken in hand. The fewest pick-ups per row of one
      repeat; the leading strings taken up per row; 1 for the strand of every move; the presses an instruction takes.
    - `rows`, at least 1: how much there is to learn before the rule begins anew. The rows after which the same knots,
      or the same colours, come again; the moves of a repeat; the instructions of a written piece.
    """

    strings: int
    kinds: int
    pickups: float
    rows: int

    @property
    def number(self) -> float:
        """One number to sort by, the greater the harder; it grows with every term.

        The weights are our own: a string counts half as much as one more pick-up in every row, a kind of knot
        twice as much, and a rule that is twice as long as much as one.
        """
        return self.strings / 2 + 2 * self.kinds + self.pickups + log2(self.rows)


def effort(design: Design) -> Effort:
    """What one repeat of a design asks, without its start and finish."""
    body = design.body
    if isinstance(body, Diagonal):
        rows = len(body.rows)
        kinds = {knot for row in body.rows for knot in row.knots}
        return Effort(len(body.strings), max(1, len(kinds)), fewest_pickups(Band(body, 1)) / rows, _period(body.rows))
    if isinstance(body, Alpha):
        work = Picture(body, 1)
        taken_up = pickups(work, by_rows(work)) / work.rows
        return Effort(work.taken, min(2, work.rows), taken_up, _period(body.rows))
    if isinstance(body, Braid):
        distances = {_distance(move, body.slots) for move in body.moves}
        return Effort(len(body.strands), len(distances), 1.0, len(body.moves))
    presses = sum(step.times for step in body.steps)
    return Effort(len(body.strings), 1, presses / len(body.steps), len(body.steps))


def _period(rows: Sequence[object]) -> int:
    """The length of the shortest beginning of `rows` that gives them all when it is repeated."""
    for length in range(1, len(rows)):
        if len(rows) % length == 0 and rows[length:] == rows[:-length]:
            return length
    return len(rows)


def _distance(move: tuple[int, int], slots: int) -> int:
    """How far a strand is moved, the shorter way round the disk."""
    onwards = (move[1] - move[0]) % slots
    return min(onwards, slots - onwards)
