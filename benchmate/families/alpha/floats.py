"""Where a leading string comes from when it is taken up: across the back of the work, or cut and started anew.

A string that is put down waits behind the knot it made last. From there it can float across the back to the knot that
wants it next; a long float snags, and then it is cut and started anew, which costs the tails of two ends. Every time it
is taken up is a choice by itself: what is cheapest each time is cheapest in all.
"""

from enum import Enum
from math import hypot
from typing import NamedTuple

from benchmate.craft.gauge import ALPHA_ROW, KNOT_WIDE
from benchmate.families.alpha.work import AlphaWork

LONGEST = 5
"""The most knots a float may lie behind: a longer one snags (common practice)."""
TAIL = 90.0
"""Millimetres of a cut end and of a new beginning: 8 to 10 cm (common practice)."""


class How(Enum):
    """What is done to take a leading string up."""

    NEW = "new"
    FLOAT = "float"
    CUT = "cut"


class TakeUp(NamedTuple):
    """A leading string that is not in hand is taken up.

    `row` and `column` are where it waits, 0 for a new one; a float lies behind `behind` knots, and goes `up` when that
    is along the band rather than across it. `cost` is the thread in millimetres that goes into the float, or into the
    tails.
    """

    how: How
    row: int
    column: int
    behind: int
    up: bool
    cost: float


def take_up(work: AlphaWork, number: int, *, longest: int = LONGEST, tail: float = TAIL) -> TakeUp | None:
    """How the leading string of a knot is taken up; None when it is in hand from the knot before.

    Of floating and cutting the one that costs less thread, and never a float behind more than `longest` knots. A new
    string costs its own beginning and end.
    """
    if number and work.knotting(number - 1) == work.knotting(number):
        return None
    before = work.last_with(number)
    if before is None:
        return TakeUp(How.NEW, 0, 0, 0, False, 2 * tail)
    here, there = work.step(number), work.step(before)
    across, along = abs(here.column - there.column), here.row - there.row
    behind, length = max(across, along) - 1, hypot(across * KNOT_WIDE, along * ALPHA_ROW)
    how, cost = (How.FLOAT, length) if behind <= longest and length <= 2 * tail else (How.CUT, 2 * tail)
    return TakeUp(how, there.row, there.column, behind, along > across, cost)
