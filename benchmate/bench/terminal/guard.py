"""Tells a press from a held key, a stuck pedal or something lying on the keyboard. Times are in seconds."""

from enum import Enum
from typing import NamedTuple

from benchmate.actions import MOUSE

FLOOD = 12
"""This many key events in a row, each close to the one before, cannot come from a person."""
CLOSE = 1.4
"""Times the guard time, the gap that still counts as close: slow repeats are uneven, and some exceed the guard."""
DOUBLE_CLICK = 0.5
"""Seconds in which a second click of one button of the mouse belongs to the first: the usual time of a double click."""
QUIET = 0.6
"""Seconds without any key event before a press counts as a deliberate answer."""


class Verdict(Enum):
    """What a key event is: a press that counts, a repeat that does not, or part of a flood."""

    COUNTS = "counts"
    REPEAT = "repeat"
    FLOOD = "flood"


class Press(NamedTuple):
    """A key event as the guard judges it; `key` is its name in the settings.

    `burst` is true when it came too soon after the last event, of any key, to be deliberate; `calm` when no key event
    came for a moment before it, so that it is deliberate. `typed` is true when hands that type text fast can have made
    it: no repeat of the key before it, and not one of so many of one key in a row that it must be held down.
    `same` is true when the event before it was of the same key.
    """

    key: str
    verdict: Verdict
    burst: bool
    calm: bool
    same: bool = False
    typed: bool = True


class Guard:
    """Judges key events by their times: few terminals say which events are repeats of a held key."""

    def __init__(self, guard: float) -> None:
        """`guard`: events of one key closer together than this many seconds count once."""
        self.guard = guard
        self._last_of_key: dict[str, float] = {}
        self._last = float("-inf")
        self._last_key = ""
        self._in_a_row = 0
        self._streak = 0

    def press(self, key: str, at: float, *, held: bool = False) -> Press:
        """Judges the event of `key` at the time `at`, and says whether it is part of a burst or calm.

        `held` is true when the terminal says that the key is held down, so that the event is no press, however late.
        """
        burst, calm = held or at - self._last < self.guard, not held and self.quiet_before(at)
        same, self._last_key = key == self._last_key, key
        self._in_a_row = self._in_a_row + 1 if same else 1
        repeat = held or at - self._last_of_key.get(key, float("-inf")) < self.guard
        typed = not same or (not repeat and self._in_a_row < FLOOD)
        verdict = self.judge(key, at)
        return Press(key, Verdict.REPEAT if held and verdict is Verdict.COUNTS else verdict, burst, calm, same, typed)

    def judge(self, key: str, at: float) -> Verdict:
        """What the event of `key` at the time `at` is. It must see every event, in order."""
        close = at - self._last < CLOSE * self.guard
        self._streak = self._streak + 1 if close else 1
        self._last = at
        last_of_key = self._last_of_key.get(key, float("-inf"))
        click = key in MOUSE
        repeat = at - last_of_key < (max(self.guard, DOUBLE_CLICK) if click else self.guard)
        # A key that is held down goes on and on; clicks in a steady time do not.
        if not (click and repeat):
            self._last_of_key[key] = at
        if self._streak >= FLOOD:
            return Verdict.FLOOD
        return Verdict.REPEAT if repeat else Verdict.COUNTS

    def quiet_before(self, at: float) -> bool:
        """True when no key event came for a moment before the time `at`, so that a press now is deliberate."""
        return at - self._last >= QUIET
