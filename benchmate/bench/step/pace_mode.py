"""Pace mode, the hands-free timer: a knot counts as done when its beat has run out."""

import time
from collections.abc import Callable
from math import ceil
from typing import Protocol

from textual.geometry import Size
from textual.timer import Timer

from benchmate.bench.step.quiet_lines import QuietLine
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.bench.zones.view_values import Beat
from benchmate.craft.history import timing
from benchmate.craft.wording.prompts import Happened
from benchmate.store.open_piece import OpenPiece

CHECK_EVERY = 0.1
"""Seconds between checks of the clock."""
REDRAW_EVERY = 0.25
"""Seconds between two drawings of the timer."""
IGNORE_KEYS = 1.0
"""Seconds after a pause in which step keys are ignored: a foot that comes down twice means one press."""
SMALLEST = (24, 8)
"""The least columns and lines in which the time left can be seen."""


class Paced(Protocol):
    """The step screen as pace mode uses it."""

    @property
    def held(self) -> OpenPiece:
        """The piece."""

    @property
    def size(self) -> Size:
        """Its columns and lines."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def say(self, notice: str) -> None:
        """Shows a notice."""

    def show(self) -> None:
        """Shows the screen as it is now."""

    def set_interval(self, interval: float, callback: Callable[[], None]) -> Timer:
        """Calls `callback` every `interval` seconds."""

    def blocked(self) -> bool:
        """True, with a notice that says why, when the piece cannot be worked on here now."""

    def count_step(self) -> bool:
        """Counts the step as done, as a press does. False when nothing is left, or it could not be saved."""


class PaceMode:
    """Runs a timer for each knot. A knot counts only when the maker lets its timer run out."""

    def __init__(self, step: Paced, spoken: SpokenStep, quiet_line: QuietLine) -> None:
        """`spoken` says each step aloud, so that nobody has to look up."""
        self._step = step
        self._spoken = spoken
        self._quiet_line = quiet_line
        self.seconds = timing.DEFAULT_BEAT
        """The length of a beat."""
        self._by_hand = False
        self._due = 0.0
        self._checked = 0.0
        self._drawn = 0.0
        self._ticker: Timer | None = None
        self._paused = float("-inf")

    @property
    def running(self) -> bool:
        """True while the timer runs."""
        return self._ticker is not None

    def switch(self) -> None:
        """Starts pace mode, at the maker's own pace unless a pace was chosen; or pauses it."""
        if self.running:
            self.pause()
        elif not self._large_enough:
            self._step.say("The window is too small for pace mode.")
        elif self._ready():
            own = None if self._by_hand else timing.own_beat(self._step.held.whole, self._step.held.presses)
            self.seconds = self.seconds if own is None else own
            self._checked = time.time()
            self.begin_beat()
            self._ticker = self._step.set_interval(CHECK_EVERY, self.check_clock)
            was_on = self._spoken.voice.on
            self._spoken.speak()
            self._step.say("" if was_on else "Voice on.")
            self._spoken.say_step(Happened.RESUMED)

    def faster(self) -> None:
        """Gives less time for a knot."""
        self._change_pace(1 / timing.FACTOR)

    def slower(self) -> None:
        """Gives more time for a knot."""
        self._change_pace(timing.FACTOR)

    def _change_pace(self, times: float) -> None:
        if self.running:
            self.seconds, self._by_hand = timing.within(self.seconds * times), True
            self.begin_beat()
            self._step.show()
        else:
            self._step.say(f"For pace mode only; {self._step.key('beat')} starts it.")

    def begin_beat(self) -> None:
        """Starts the timer from its full length, for another step or with another pace."""
        self._due = time.monotonic() + self.seconds

    def check_clock(self) -> None:
        """Redraws the timer, counts the step when it has run out, and pauses when it cannot be trusted."""
        # The monotonic clock may stop while the machine is asleep; the wall clock does not.
        before, self._checked = self._checked, time.time()
        if abs(self._checked - before) > timing.LATE:
            self.pause("Paused: the program or the machine stood still; knot not counted.")
            return
        if not self._large_enough:
            self.pause("Paused: the window is too small to show the time left.")
            return
        if self._spoken.voice.speaking:
            # A knot never counts while its prompt is still being spoken.
            self._due = max(self._due, time.monotonic() + timing.AFTER_WORDS)
        if time.monotonic() < self._due:
            if self._left != self._drawn:
                self._step.show()
        elif self._ran_out():
            self.begin_beat()
            self._step.show()
        else:
            self._stop()
            self._step.show()

    def _ready(self) -> bool:
        """True when the next step has a timer and can be counted here; otherwise a notice says why not."""
        step, number = self._step, self._step.held.progress.next
        if step.held.holding and step.held.wrong is not None:
            step.say(f"Undo the wrong knot before pace mode, or press {step.key('keep')} to keep it.")
        elif step.blocked():
            return False
        elif number is None:
            step.say("All done.")
        elif not self._has_beat(number):
            step.say(f"No timer for this step; press {step.key('done')} when done.")
        else:
            return True
        return False

    def _ran_out(self) -> bool:
        """Counts the step whose timer ran out. False when the next step has no timer."""
        if not self._step.count_step():
            return False
        following = self._step.held.progress.next
        if following is not None and not self._has_beat(following):
            self.pause("Paused: no timer for this step;", f"press {self._step.key('done')} when done.")
        return self.running and following is not None

    def _has_beat(self, number: int) -> bool:
        """Whether a step has a timer: not where a string is laid in first."""
        return timing.has_beat(self._step.held.whole, number) and not self._quiet_line.shown().first

    def pause(self, why: str = "Paused: knot not counted.", then: str = "") -> None:
        """Stops the timer without counting the knot, and shows why and how to continue."""
        self._stop()
        self._step.say(f"{why} {then or self._step.key('beat') + ' continues.'}")

    def _stop(self) -> None:
        if self._ticker is not None:
            self._ticker.stop()
            self._ticker = None
            self._paused = time.monotonic()

    @property
    def just_paused(self) -> bool:
        """True for a moment after a pause, while step keys are ignored."""
        return time.monotonic() - self._paused < IGNORE_KEYS

    @property
    def _large_enough(self) -> bool:
        return self._step.size.width >= SMALLEST[0] and self._step.size.height >= SMALLEST[1]

    @property
    def _left(self) -> float:
        return max(0.0, ceil((self._due - time.monotonic()) / REDRAW_EVERY) * REDRAW_EVERY)

    def beat(self) -> Beat | None:
        """The timer as the screen shows it; None while it does not run."""
        if not self.running:
            return None
        self._drawn = self._left
        key = self._step.key
        pauses, back = f"{key('done')} pauses", f"{key('back')} undoes one"
        pace_keys = f"{key('faster')} {key('slower')} pace {self.seconds:.1f} s"
        return Beat(self._drawn, self.seconds, (pauses, back, pace_keys))
