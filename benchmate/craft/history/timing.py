"""How long the knots of a piece take: the time left, and the beat of pace mode."""

from collections.abc import Sequence

from benchmate.craft import pace
from benchmate.craft.start_band_finish import WholePiece

DEFAULT_BEAT = 6.0
"""Seconds for a knot before the maker's own pace is known."""
SHORTEST, LONGEST = 1.5, 60.0
"""The range of a beat, in seconds."""
FACTOR = 1.1
"""One press makes the beat this many times longer, or shorter."""
LATE = 1.0
"""Seconds by which the clock may be off at the end of a beat that counts: else the program or machine stood still."""
AFTER_WORDS = 1.0
"""The least time, in seconds, that a beat lasts after its prompt has been spoken."""
ENOUGH_PRESSES = 8
"""The number of gaps between presses that make a maker's own pace."""


def knots_of_band(whole: WholePiece) -> range:
    """The numbers of the steps between start and finish."""
    return range(whole.main.first, whole.main.first + whole.main.work.size)


def own_beat(whole: WholePiece, presses: Sequence[pace.Press]) -> float | None:
    """The maker's own beat; None before it is known."""
    own = pace.pace_of(pace.knot_times(presses, knots_of_band(whole)), ENOUGH_PRESSES)
    return None if own is None else within(own.seconds)


def within(seconds: float) -> float:
    """The beat nearest to so many seconds."""
    return min(LONGEST, max(SHORTEST, seconds))


def has_beat(whole: WholePiece, number: int) -> bool:
    """True for a knot that needs no new thread, and for a written step repeated after its first time."""
    part = whole.part_of(number)
    return not part.design.family.step_view.is_untimed(part.work, number - part.first, whole.step(number))


def time_left(whole: WholePiece, done: int, own: pace.Pace | None) -> str:
    """The time the band still takes; nothing for written steps, none of which takes as long as another."""
    if not whole.main.design.family.row_word:
        return ""
    knots = knots_of_band(whole)
    # The band rests on the whole start, and the finish on the whole band.
    open_knots = len(knots) - min(len(knots), max(0, done - knots.start))
    return pace.time_left(own, open_knots)


def own_pace(whole: WholePiece, presses: Sequence[pace.Press]) -> pace.Pace | None:
    """The maker's pace in this piece; None while there are too few knots."""
    return pace.pace_of(pace.knot_times(presses, knots_of_band(whole)))
