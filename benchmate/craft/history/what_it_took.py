"""What a piece took: the time at work, and the steps that were undone on the way."""

from collections.abc import Iterable
from itertools import pairwise
from typing import NamedTuple

from benchmate.craft.pace import PAUSE, in_words
from benchmate.craft.wording.counting import counted


class WhatItTook(NamedTuple):
    """Seconds at work without the pauses, and how many steps were undone by hand."""

    seconds: float
    undone: int


def time_at_work(times: Iterable[float]) -> float:
    """The seconds between the first and the last of these times, in order, without the gaps that were pauses."""
    return sum(gap for before, here in pairwise(times) if 0 < (gap := here - before) <= PAUSE)


def in_a_line(took: WhatItTook, count: int, one: str) -> str:
    """`264 knots, about 1 h 10 min at work, 7 undone`; `one` names one of the `count` steps."""
    parts = [counted(count, one)]
    if took.seconds:
        parts.append(f"{in_words(took.seconds)} at work")
    parts.append(f"{took.undone} undone" if took.undone else "nothing undone")
    return ", ".join(parts)
