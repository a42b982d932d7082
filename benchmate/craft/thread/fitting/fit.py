"""Whether a band fits: from the wrist to the length of the band, to rows, and to whole repeats."""

from decimal import Decimal
from typing import NamedTuple

EASE = Decimal(15)
"""How much longer than the wrist a band is to be where nothing else is said, mm; 10 to 20 is usual."""
NO_GAP = Decimal(0)
"""What the closure takes of the way round the wrist where nothing else is said, mm."""
CAUTION = "Never tie a band tight: a finger must fit under it."
"""What to say beside a length for a wrist."""
CHILDREN_CAUTION = "Children: no cords round the neck; no beads, charms or clasps under three years."
"""What to say beside the wrists of children."""


class Fit(NamedTuple):
    """The repeats of a band that come nearest to a length, mm."""

    band_mm: Decimal
    row_mm: Decimal
    rows_per_repeat: int
    repeats: int

    @property
    def rows(self) -> int:
        """The rows in all repeats."""
        return self.repeats * self.rows_per_repeat

    @property
    def length_mm(self) -> Decimal:
        """How long the band then is."""
        return self.rows * self.row_mm

    @property
    def over_mm(self) -> Decimal:
        """How much longer than wanted it is; below 0 where it is shorter."""
        return self.length_mm - self.band_mm

    def with_repeats(self, repeats: int) -> "Fit":
        """The same band with another number of repeats."""
        return self._replace(repeats=repeats)


def band_for(wrist: Decimal, ease: Decimal = EASE, gap: Decimal = NO_GAP) -> Decimal:
    """How long a band is to be for a wrist, mm."""
    return wrist + ease - gap


def exact(mm: float) -> Decimal:
    """The decimal number that was meant: 1.3, not the binary number next to it, so that half-way stays half-way."""
    return Decimal(repr(mm))


def fit(band_mm: Decimal, row_mm: float, rows_per_repeat: int) -> Fit:
    """The whole repeats, at least 1, whose length is nearest to `band_mm`; of two equally near the longer."""
    row = exact(row_mm)
    return Fit(band_mm, row, rows_per_repeat, nearest_count(band_mm, row * rows_per_repeat))


def nearest_count(length: Decimal, unit: Decimal) -> int:
    """How many of a unit, at least 1, come nearest to a length; of two equally near the higher number."""
    whole, rest = divmod(length, unit)
    return max(1, int(whole) + (2 * rest >= unit))
