"""Whether a string lasts, from what hangs of it, what it needs, and how much thread a piece uses."""

import math
from collections.abc import Iterable
from enum import Enum
from typing import NamedTuple

from benchmate.craft.thread.estimate import UNSEEN_SHARE

FOR_99_OF_100 = 2.326
"""So many standard deviations above the mean, a normal need stays under in 99 of 100 cases."""
UNSEEN_SPREAD = UNSEEN_SHARE / FOR_99_OF_100
"""The relative spread of a need while nothing was measured, if the usual spare is to last in 99 of 100 cases."""
NOISE = 0.03
"""How far strings of one piece differ among themselves, relative; a standard deviation."""
RULER_MM, RULER, EYE = 5.0, 0.02, 0.25
"""How exactly a hanging string is measured: so many mm and a share of it by a ruler, another share by eye."""


class ByEye(NamedTuple):
    """What an eye sees of a hanging string, and the length taken for it, mm (from memory, on the small side)."""

    says: str
    mm: float


BY_EYE = (
    ByEye("shorter than a hand", 100.0),
    ByEye("a hand, wrist to fingertips", 170.0),
    ByEye("a forearm, elbow to fingertips", 420.0),
    ByEye("two forearms or more", 840.0),
)
"""Estimates by eye, shortest first."""
FEWEST_MM = 50.0
"""Knots that are expected to use less than this say nothing of the maker."""
MISTAKEN = 2.5
"""A string that used so many times what is expected, or so small a part, was measured or cut otherwise than said."""


class Outlook(Enum):
    """What is to be expected of a string: it lasts in 99 of 100 cases, in most, or in fewer than half."""

    CERTAIN = "certain to last"
    PROBABLE = "probably lasts"
    SHORT = "probably runs short"


class Used(NamedTuple):
    """What a string has used, what its knots were expected to use, and what was left of it, mm.

    `by_eye` says that what was left is an estimate.
    """

    used_mm: float
    expected_mm: float
    left_mm: float
    by_eye: bool = False

    @property
    def is_believed(self) -> bool:
        """Whether it says something of the maker."""
        if self.expected_mm < FEWEST_MM or self.used_mm <= 0:
            return False
        return 1 / MISTAKEN <= self.used_mm / self.expected_mm <= MISTAKEN

    @property
    def measured_to_mm(self) -> float:
        """How exactly its end was measured."""
        return EYE * self.left_mm if self.by_eye else RULER_MM + RULER * self.left_mm


class UsedHere(NamedTuple):
    """How many times the thread that the gauge expects a piece uses, the standard deviation of that, and the strings
    that say so."""

    share: float = 1.0
    spread: float = UNSEEN_SPREAD
    strings: int = 0


def used_here(seen: Iterable[Used], before: float = UNSEEN_SPREAD) -> UsedHere:
    """How much thread a piece uses, by its strings and the gauge, each as far as it can be trusted.

    `before` is the relative spread of a need by the gauge alone.
    """
    strings, weight = 0, 1 / before**2
    total = weight
    for each in seen:
        if each.is_believed:
            off = math.hypot(NOISE, each.measured_to_mm / each.expected_mm)
            strings, weight, total = (
                strings + 1,
                weight + off**-2,
                total + off**-2 * each.used_mm / each.expected_mm,
            )
    return UsedHere(total / weight, weight**-0.5, strings)


def spare_mm(needs_mm: float, here: UsedHere, by_gauge_mm: float) -> float:
    """What a string has to have beyond its need, to last in 99 of 100 cases; by the gauge while no string says more."""
    if not here.strings:
        return by_gauge_mm
    return FOR_99_OF_100 * needs_mm * math.hypot(here.spread, NOISE)


def outlook(left_mm: float, hold_mm: float, needs_mm: float, spare: float) -> Outlook:
    """What is to be expected of a string that needs so much and hangs so long."""
    loose = left_mm - hold_mm
    if loose >= needs_mm + spare:
        return Outlook.CERTAIN
    return Outlook.PROBABLE if loose >= needs_mm else Outlook.SHORT
