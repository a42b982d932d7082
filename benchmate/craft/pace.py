"""The maker's own pace, from the times of presses. Times are seconds on any steady clock."""

from collections.abc import Sequence
from functools import cache
from itertools import groupby
from math import comb
from typing import NamedTuple

PAUSE = 180.0
"""A longer gap in seconds is a pause and does not count for the pace."""
LAST_KNOTS = 40
"""How many of the last presses on knots count for the pace."""
ENOUGH_KNOTS = 10
"""From so many presses on knots on, the time left is shown."""
UNCERTAIN = 1.3
"""From this ratio of the slower bound of a pace to the quicker one, a time is a range."""
OUTSIDE = 0.1
"""The chance that the middle of the maker's times lies below the quicker bound, and the same above the slower one."""
REST = 5 * 60.0
"""Seconds without a knot that count as a rest."""


class Press(NamedTuple):
    """A press that counted steps as done: its time, how many, and the lowest of them, numbered through the piece."""

    at: float
    steps: int
    first: int = 0


class Pace(NamedTuple):
    """A maker's pace: the seconds a knot takes, in the middle, and the bounds between which that middle lies."""

    seconds: float
    quick: float
    slow: float


def knot_times(presses: Sequence[Press], knots: range) -> list[float]:
    """The seconds a knot took, for each press on one of `knots` (numbers in the piece), oldest first.

    A gap before a press that is longer than a pause is left out. A press may have several entries, all of one moment.
    """
    times = []
    before: float | None = None
    for at, entries in groupby(presses, key=lambda press: press.at):
        tied = [press for press in entries if press.steps]
        steps = sum(press.steps for press in tied)
        if before is not None and tied and tied[0].first in knots and 0 < at - before <= PAUSE:
            times.append((at - before) / steps)
        before = at
    return times


def pace_of(times: Sequence[float], least: int = ENOUGH_KNOTS) -> Pace | None:
    """The pace from the seconds of single knots, oldest first, by the last of them; None for fewer than `least`.

    The bounds are two of the times themselves: the confidence interval of a median by order statistics, which assumes
    nothing about how the times are spread. It holds the true median in four cases of five.
    """
    last = sorted(times[-LAST_KNOTS:])
    count = len(last)
    if count < max(1, least):
        return None
    outside = _outside(count)
    return Pace((last[count // 2] + last[(count - 1) // 2]) / 2, last[outside], last[-1 - outside])


@cache
def _outside(count: int) -> int:
    """How many of so many sorted times lie outside each bound."""
    below = outside = 0
    for quicker in range(count):
        # Each time is as likely below the true median as above it.
        below += comb(count, quicker)
        if below > OUTSIDE * 2**count:
            break
        outside = quicker
    return outside


def time_for(pace: Pace | None, knots: int) -> str:
    """How long so many knots take, without pauses: `about 25 min`, or `about 20 to 35 min` while that is uncertain.

    Empty without a pace, and for no knots.
    """
    if pace is None or knots <= 0:
        return ""
    if pace.slow <= pace.quick * UNCERTAIN:
        return in_words(pace.seconds * knots)
    quick, slow = (_rounded_for_range(seconds * knots / 60) for seconds in (pace.quick, pace.slow))
    if quick == slow:
        return in_words(pace.seconds * knots)
    low, high = _measured(quick), _measured(slow)
    one_unit = low.count(" ") == high.count(" ") == 1 and low[-1] == high[-1]
    return f"about {low.partition(' ')[0] if one_unit else low} to {high}"


def time_left(pace: Pace | None, knots: int) -> str:
    """The time that so many knots still take: `about 25 min left`. Empty without a pace, and for no knots."""
    time = time_for(pace, knots)
    return f"{time} left" if time else ""


def in_words(seconds: float) -> str:
    """A duration in words: `about 40 min`, `about 2 h 10 min`."""
    minutes = _rounded(seconds / 60)
    return f"about {_measured(minutes)}" if minutes else "under a minute"


def _rounded(minutes: float) -> int:
    """Whole minutes under an hour, then five at a time, then whole hours: nobody knows the time any better."""
    for least, step in ((595, 60), (59.5, 5)):
        if minutes >= least:
            return step * round(minutes / step)
    return round(minutes)


def _rounded_for_range(minutes: float) -> int:
    """As above, but never 0, and five minutes at a time from ten minutes on."""
    return 5 * round(minutes / 5) if 10 <= minutes < 60 else max(1, _rounded(minutes))


def _measured(minutes: int) -> str:
    """`40 min`, `2 h`, `2 h 10 min`."""
    hours, rest = divmod(minutes, 60)
    return " ".join([*([f"{hours} h"] if hours else []), *([f"{rest} min"] if rest or not hours else [])])
