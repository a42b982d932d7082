"""The place in a diagonal band, from how its strings hang and the colours of its last knots."""

from collections.abc import Sequence

from benchmate.craft.trouble.last_knots import LastKnots, found, hanging_so
from benchmate.craft.trouble.trouble import Places
from benchmate.families.diagonal.trouble.shown_colours import colours_of_strings, shown_by
from benchmate.families.diagonal.work import DiagonalWork


def where(work: DiagonalWork, sequence: Sequence[int], seen: Sequence[str] | None, knots: Sequence[str]) -> Places:
    """As in `Trouble`."""
    last = LastKnots(shown_by(work, sequence))
    fitting = range(len(sequence) + 1)
    return found(last, fitting if seen is None else hanging_so(work, sequence, colours_of_strings(work), seen), knots)
