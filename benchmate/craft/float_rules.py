"""What a maker allows of the leading strings behind a picture."""

from typing import NamedTuple

from benchmate.craft.thread.gauge import FLOSS, Gauge

LONGEST = 5
"""The most columns, and the most rows, that a float passes behind; a longer one snags (common practice)."""
MOST_LONGEST = 20
"""The largest such limit to choose."""


class KnotSize(NamedTuple):
    """The width of a knot and the height of a row, mm, by which floats are measured."""

    wide: float = FLOSS.wide_mm
    high: float = FLOSS.base_mm

    @classmethod
    def of(cls, gauge: Gauge) -> "KnotSize":
        """The size of the knots of a thread."""
        return cls(gauge.wide_mm, gauge.base_mm)


class FloatRules(NamedTuple):
    """How many columns and rows a float may pass behind, and how many leading strings may hang at once (None for any).

    A leading string hangs from its first knot to its last. `wide` is the width of a knot and `high` the height of a
    row, mm, from which the thread in floats is computed.
    """

    columns: int = LONGEST
    rows: int = LONGEST
    hang: int | None = None
    wide: float = FLOSS.wide_mm
    high: float = FLOSS.base_mm

    @property
    def size(self) -> KnotSize:
        """The size of the knots."""
        return KnotSize(self.wide, self.high)

    def with_size(self, size: KnotSize) -> "FloatRules":
        """The same rules for knots of another size."""
        return self._replace(wide=size.wide, high=size.high)


USUAL = FloatRules()
"""The rules of a maker who has not chosen any."""
