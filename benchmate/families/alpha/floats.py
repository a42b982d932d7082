"""How to pick up a leading string: bring it across the back of the work, or cut it and start a new one.

A string that is put down waits behind its last knot. From there it can float across the back to its next knot. A long
float snags, so the maker cuts it and starts a new string, which costs the tails of two ends. Each pick-up is a separate
choice: taking the cheapest each time is cheapest overall.
"""

from enum import Enum
from math import hypot
from typing import NamedTuple

from benchmate.craft.gauge import ALPHA_ROW, KNOT_WIDE
from benchmate.families.alpha.work import AlphaWork

LONGEST = 5
"""The most knots a float may pass behind; a longer one snags (common practice)."""
TAIL = 90.0
"""The length of a tail, at a cut and at a new start, mm: 8 to 10 cm (common practice)."""


class How(Enum):
    """The ways to pick up a leading string."""

    NEW = "new"
    FLOAT = "float"
    CUT = "cut"


class PickUp(NamedTuple):
    """The pick-up of a leading string that is not in hand.

    `row` and `column` are where it waits, 0 for a new one. A float passes behind `behind` knots; `up` is true when it
    runs along the band more than across. `cost` is the thread in the float or in the tails, mm.
    """

    how: How
    row: int
    column: int
    behind: int
    up: bool
    cost: float


def pick_up(work: AlphaWork, number: int, *, longest: int = LONGEST, tail: float = TAIL) -> PickUp | None:
    """How to pick up the leading string of a knot; None when it is still in hand from the knot before.

    Chooses the float or the cut, whichever costs less thread, but never a float behind more than `longest` knots. A
    new string costs a tail at each end.
    """
    if number and work.knotting(number - 1) == work.knotting(number):
        return None
    before = work.last_with(number)
    if before is None:
        return PickUp(How.NEW, 0, 0, 0, False, 2 * tail)
    here, there = work.step(number), work.step(before)
    across, along = abs(here.column - there.column), here.row - there.row
    behind, length = max(across, along) - 1, hypot(across * KNOT_WIDE, along * ALPHA_ROW)
    how, cost = (How.FLOAT, length) if behind <= longest and length <= 2 * tail else (How.CUT, 2 * tail)
    return PickUp(how, there.row, there.column, behind, along > across, cost)
