"""What a maker measured of a thread: strings that were used, and lengths that came out."""

from typing import NamedTuple

from benchmate.craft.thread.counts import Counts


class Used(NamedTuple):
    """A string that did this used so much thread, mm, without start, finish and ends.

    A base string is measured as rows of `base`. A leading string of a picture has made its knots, and used its thread
    without the floats.
    """

    counts: Counts
    mm: float


ROWS, ALPHA_ROWS, BASE, WIDE = "rows", "alpha rows", "base", "wide"


class Measured(NamedTuple):
    """A length measured: `what` is rows, alpha rows, base (rows of a base string) or wide (knots side by side).

    `units` of them came out `mm` long.
    """

    what: str
    units: int
    mm: float


Seen = Used | Measured
"""One thing measured."""
