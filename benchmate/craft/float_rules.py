"""What a maker allows of the leading strings behind a picture."""

from typing import NamedTuple

from benchmate.craft.gauge import ALPHA_ROW, KNOT_WIDE

LONGEST = 5
"""The most columns, and the most rows, that a float passes behind; a longer one snags (common practice)."""
MOST_LONGEST = 20
"""The largest such limit to choose."""


class FloatRules(NamedTuple):
    """How many columns and rows a float may pass behind, and how many leading strings may hang at once (None for any).

    A leading string hangs from its first knot to its last. `wide` is the width of a knot and `high` the height of a
    row, mm, from which the thread in floats is computed.
    """

    columns: int = LONGEST
    rows: int = LONGEST
    hang: int | None = None
    wide: float = KNOT_WIDE
    high: float = ALPHA_ROW


USUAL = FloatRules()
"""The rules of a maker who has not chosen any."""
