"""How hard a design is, as one number to sort by, easy first."""

from collections.abc import Sequence
from math import log2
from typing import NamedTuple

HARD = ((12.0, "easy"), (20.0, "steady"))
"""How hard, in a word, up to which number. Chosen so that each word fits a third of the shipped designs."""
HARDEST = "demanding"
HOW_HARD = (*(word for _, word in HARD), HARDEST)
"""The words, the easiest first."""


def how_hard(number: float) -> str:
    """How hard a design of this number is, in a word."""
    return next((word for most, word in HARD if number < most), HARDEST)


class Effort(NamedTuple):
    """What makes a design hard to work, apart from its length: a long band with a simple pattern is easy.

    - `strings`, at least 0: how many to keep sorted. The strings of a diagonal band; the base and leading strings of an
      alpha band; the strands of a braid; the strings a written piece names.
    - `kinds`, at least 1: how many things to tell apart. The different knots, with no knot as one more; the different
      distances of a braid's moves; 1 for a written piece.
    - `pickups`, at least 0, a mean: how often to pick up something else. The fewest pick-ups a row in one repeat; the
      pick-ups of leading strings a row; 1 for every move of a braid; the presses an instruction takes.
    - `rows`, at least 1: how much to learn before the pattern repeats. The rows until the same knots or colours come
      again; the moves of a repeat; the instructions of a written piece.
    """

    strings: int
    kinds: int
    pickups: float
    rows: int

    @property
    def number(self) -> float:
        """One number to sort by, larger for harder; it increases with every term.

        The weights are our own choice. Compared with one more pick-up in every row, a string counts half, a kind of
        knot twice, and a pattern of twice the length the same.
        """
        return self.strings / 2 + 2 * self.kinds + self.pickups + log2(self.rows)


def period(rows: Sequence[object]) -> int:
    """The length of the shortest pattern that gives `rows` when repeated."""
    for length in range(1, len(rows)):
        if len(rows) % length == 0 and rows[length:] == rows[:-length]:
            return length
    return len(rows)
