"""How much a design asks of the maker, as one number to sort by: what is easy comes first."""

from collections.abc import Sequence
from math import log2
from typing import NamedTuple


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


def period(rows: Sequence[object]) -> int:
    """The length of the shortest beginning of `rows` that gives them all when it is repeated."""
    for length in range(1, len(rows)):
        if len(rows) % length == 0 and rows[length:] == rows[:-length]:
            return length
    return len(rows)
