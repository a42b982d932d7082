"""Telling a press from a held key, a stuck pedal or something lying on the keyboard. Times are in seconds."""

from enum import Enum
from typing import NamedTuple

FLOOD = 12
"""So many key events in a row, each close on the one before, are no person pressing."""
CLOSE = 1.4
"""How many times the guard still counts as close in a flood: slow repeats come unevenly, some past the guard."""
QUIET = 0.6
"""Seconds without any key event before an answer to the question is taken as one."""


class Verdict(Enum):
    """What a key event is: a press that counts, a repeat that does not, or part of a flood."""

    COUNTS = "counts"
    REPEAT = "repeat"
    FLOOD = "flood"


class Press(NamedTuple):
    """A key event as the guard judges it; `key` is what the settings call it.

    `burst` is true when it came so close on the event before it, whatever the keys, that nobody chose it; `calm` when
    no key event came for a moment before it, so that it is meant.
    """

    key: str
    verdict: Verdict
    burst: bool
    calm: bool


class Guard:
    """Judges key events by when they came. A terminal does not say which events are repeats of a held key."""

    def __init__(self, guard: float) -> None:
        """`guard`: events of one key closer together than this many seconds count once."""
        self.guard = guard
        self._last_of_key: dict[str, float] = {}
        self._last = float("-inf")
        self._streak = 0

    def press(self, key: str, at: float) -> Press:
        """The event of `key` at the time `at` with all there is to know about it; it is shown to `judge` here."""
        burst, calm = at - self._last < self.guard, self.quiet_before(at)
        return Press(key, self.judge(key, at), burst, calm)

    def judge(self, key: str, at: float) -> Verdict:
        """What the event of `key` at the time `at` is. Every event has to be shown here, in the order they came."""
        close = at - self._last < CLOSE * self.guard
        self._streak = self._streak + 1 if close else 1
        self._last = at
        last_of_key = self._last_of_key.get(key, float("-inf"))
        self._last_of_key[key] = at
        if self._streak >= FLOOD:
            return Verdict.FLOOD
        return Verdict.REPEAT if at - last_of_key < self.guard else Verdict.COUNTS

    def quiet_before(self, at: float) -> bool:
        """True when no key event came for a moment before the time `at`, so that one now is meant."""
        return at - self._last >= QUIET
