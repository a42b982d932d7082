"""How long work takes in sittings with breaks, and how many days there are for it. Times are minutes."""

from math import ceil
from typing import NamedTuple

from benchmate.craft.pace import Pace, in_words
from benchmate.craft.wording.counting import counted

MOST_AT_A_STRETCH = 60
"""The longest stretch of work without a break: one is due after 50 to 60 (HSE, display-screen work, by analogy)."""
BREAK = 10
"""A break; 5 to 10 are said there."""
LONGEST_DAY = 600
"""The longest sitting that the settings know; no plan has longer days."""


class Duration(NamedTuple):
    """How long a design takes, in minutes of work: the middle, and the bounds between which that lies."""

    minutes: float
    quick: float
    slow: float

    def plus(self, other: "Duration") -> "Duration":
        """Both, one after the other."""
        return Duration(self.minutes + other.minutes, self.quick + other.quick, self.slow + other.slow)

    @property
    def words(self) -> str:
        """The middle in words: `about 2 h 10 min`."""
        return in_words(self.minutes * 60)


def duration(pace: Pace, knots: int) -> Duration:
    """How long so many knots take at a pace."""
    return Duration(*(seconds * knots / 60 for seconds in pace))


def at_usual_pace(knots: int, seconds: float) -> Duration:
    """How long so many knots take, with so many seconds for each."""
    return duration(Pace(seconds, seconds, seconds), knots)


class Sittings(NamedTuple):
    """So many sittings of so many minutes each, breaks included."""

    fewest: int
    most: int
    minutes: int
    breaks: int

    @property
    def words(self) -> str:
        """`4 evenings of 40 minutes`, `4 to 6 evenings of 120 minutes, each with 1 break of 10 minutes`."""
        if self.most == 1 and not self.breaks:
            return f"1 evening of {counted(self.minutes, 'minute')} is enough"
        each, evenings = ("", "evening") if self.most == 1 else ("each ", "evenings")
        within = f", {each}with {counted(self.breaks, 'break')} of {BREAK} minutes" if self.breaks else ""
        return f"{self._range} {evenings} of {counted(self.minutes, 'minute')}{within}"

    @property
    def short(self) -> str:
        """After a label that says evenings: `4 of 40 min`, `4 to 6 of 120 min`."""
        return f"{self._range} of {self.minutes} min"

    @property
    def _range(self) -> str:
        return f"{self.fewest}" if self.most <= self.fewest else f"{self.fewest} to {self.most}"


def breaks_in(minutes: int) -> int:
    """The fewest breaks in a sitting, so that no stretch of work in it is too long."""
    return max(0, ceil((minutes - MOST_AT_A_STRETCH) / (MOST_AT_A_STRETCH + BREAK)))


def work_in(minutes: int) -> int:
    """The minutes of work in a sitting."""
    return minutes - BREAK * breaks_in(minutes)


def sittings(work: Duration, minutes: int) -> Sittings:
    """The sittings that work takes, from those at the quicker pace to those at the slower one."""
    each = work_in(minutes)
    fewest, most = (max(1, ceil(round(time / each, 6))) for time in (work.quick, work.slow))
    return Sittings(fewest, most, minutes, breaks_in(minutes) if work.slow > MOST_AT_A_STRETCH else 0)


def minutes_a_day(work: float, days: int) -> int | None:
    """The sitting of each day, breaks included, that does the work in so many days; None if no day is that long."""
    each = max(1, ceil(round(work / days, 6)))
    breaks = max(0, ceil(each / MOST_AT_A_STRETCH) - 1)
    minutes = each + BREAK * breaks
    return minutes if minutes <= LONGEST_DAY else None
