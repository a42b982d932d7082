"""The maker's own pace, from the times of presses. Times are seconds on any steady clock."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

PAUSE = 180.0
"""A longer gap in seconds is a pause and does not count for the pace."""
LAST_KNOTS = 40
"""How many of the last gaps count for the pace."""
WORK_BEFORE_REST = 50 * 60.0
"""Seconds of work after which a rest is due: 5-10 minutes after 50-60 (HSE, display-screen work, by analogy)."""
REST = 5 * 60.0
"""Seconds without a knot that count as a rest."""


class Press(NamedTuple):
    """A press that counted steps as done: its time, and how many."""

    at: float
    steps: int


def seconds_a_knot(presses: Sequence[Press], least: int = 3) -> float | None:
    """The median time a step took lately, without pauses; None until there are `least` gaps."""
    gaps = [
        (here.at - before.at) / here.steps
        for before, here in pairwise(presses)
        if 0 < here.at - before.at <= PAUSE and here.steps
    ][-LAST_KNOTS:]
    if len(gaps) < least:
        return None
    gaps.sort()
    return (gaps[len(gaps) // 2] + gaps[(len(gaps) - 1) // 2]) / 2


def rest_is_due(presses: Sequence[Press], now: float) -> bool:
    """True when the maker has worked for 50 minutes without a rest and still works."""
    began = ended = now
    for press in reversed(presses):
        if ended - press.at >= REST:
            break
        began = ended = press.at
    return now - began >= WORK_BEFORE_REST


def in_words(seconds: float) -> str:
    """A duration in words: `about 40 min`, `about 2 h 10 min`."""
    minutes = round(seconds / 60)
    if minutes < 1:
        return "under a minute"
    if minutes < 60:
        return f"about {minutes} min"
    hours, rest = divmod(5 * round(minutes / 5), 60)
    if hours >= 10:
        return f"about {round(minutes / 60)} h"
    return f"about {hours} h" + (f" {rest} min" if rest else "")


def briefly(seconds: float) -> str:
    """A duration in the fewest characters: `40m`, `2h10`."""
    minutes = max(1, round(seconds / 60))
    return f"{minutes}m" if minutes < 60 else f"{minutes // 60}h{minutes % 60:02}"
