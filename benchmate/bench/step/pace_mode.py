"""Pace mode: for hands that have no finger and no foot free, a knot counts as done when its beat has passed."""

import time
from collections.abc import Callable
from math import ceil
from typing import Protocol

from textual.geometry import Size
from textual.timer import Timer

from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.bench.zones.view_values import Beat
from benchmate.craft import pace
from benchmate.craft.wording.prompts import Happened
from benchmate.store.held import Held

USUAL = 6.0
"""Seconds for a knot before the maker's own pace is known."""
SHORTEST, LONGEST = 1.5, 60.0
STEP = 1.1
"""How many times as much one press of more time is, and as little one of less."""
LATE = 1.0
"""Seconds without a look at the clock after which no beat counts: the program was stopped, or the machine asleep."""
LOOK = 0.1
"""Seconds between looks at the clock."""
SHOWN = 0.25
"""Seconds between two pictures of a beat."""
AFTER_WORDS = 1.0
"""Seconds a beat goes on at the least when what it is for has been said to its end."""
STILL = 1.0
"""Seconds after a pause in which no step key counts: a foot that comes down twice means one thing."""
FEW = 8
"""How many gaps between presses make a maker's own pace."""
SMALLEST = (24, 8)
"""Columns and lines below which the time that is left cannot be seen."""


class Paced(Protocol):
    """The screen whose steps go by beats."""

    @property
    def held(self) -> Held:
        """The piece."""

    @property
    def size(self) -> Size:
        """How many columns and lines it has."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def say(self, notice: str) -> None:
        """Shows a notice."""

    def show(self) -> None:
        """Shows what there is to do now."""

    def set_interval(self, interval: float, callback: Callable[[], None]) -> Timer:
        """Has something done again and again."""

    def busy(self) -> bool:
        """True, and it is said, when the piece cannot be worked on here, or not forward."""

    def go_on(self) -> bool:
        """One beat is one press: the step is done. False when nothing is left to do, or it could not be counted."""


class PaceMode:
    """Lets knots go by beats. Nothing counts but what the maker has let pass."""

    def __init__(self, step: Paced, spoken: SpokenStep) -> None:
        """Whoever has no eye free hears what is to be done: `spoken` says it."""
        self._step = step
        self._spoken = spoken
        self.seconds = USUAL
        """How long a beat is."""
        self._by_hand = False
        self._due = 0.0
        self._looked = 0.0
        self._drawn = 0.0
        self._looking: Timer | None = None
        self._paused = float("-inf")

    @property
    def beating(self) -> bool:
        """True while knots go by beats."""
        return self._looking is not None

    def switch(self) -> None:
        """Begins pace mode, at the maker's own pace until another one is chosen, or pauses it."""
        if self.beating:
            self.pause()
        elif not self._can_be_seen:
            self._step.say("The window is too small for pace mode.")
        elif self._ready():
            own = None if self._by_hand else pace.seconds_a_knot(self._step.held.presses, least=FEW)
            self.seconds = self.seconds if own is None else _within(own)
            self._looked = time.time()
            self.begin_beat()
            self._looking = self._step.set_interval(LOOK, self.look)
            was_on = self._spoken.voice.on
            self._spoken.speak()
            self._step.say("" if was_on else "Voice on.")
            self._spoken.told(Happened.RESUMED)

    def faster(self) -> None:
        """Less time for a knot."""
        self._change_pace(1 / STEP)

    def slower(self) -> None:
        """More time for a knot."""
        self._change_pace(STEP)

    def _change_pace(self, times: float) -> None:
        if self.beating:
            self.seconds, self._by_hand = _within(self.seconds * times), True
            self.begin_beat()
            self._step.show()
        else:
            self._step.say(f"That changes pace mode, which {self._step.key('beat')} begins.")

    def begin_beat(self) -> None:
        """The beat begins anew, for another step or with another pace."""
        self._due = time.monotonic() + self.seconds

    def look(self) -> None:
        """Looks at the clock, and sees to what is due."""
        # The steady clock may stand still while a machine is asleep; the clock on the wall does not.
        before, self._looked = self._looked, time.time()
        if abs(self._looked - before) > LATE:
            self.pause("Paused: the program or the machine stood still, and what was under way is not counted.")
            return
        if not self._can_be_seen:
            self.pause("Paused: the window is too small to see how much time is left.")
            return
        if self._spoken.voice.speaking:
            # Nothing counts that is still being told.
            self._due = max(self._due, time.monotonic() + AFTER_WORDS)
        if time.monotonic() < self._due:
            if self._to_come != self._drawn:
                self._step.show()
        elif self._passed():
            self.begin_beat()
            self._step.show()
        else:
            self._stop()
            self._step.show()

    def _ready(self) -> bool:
        """True when there is a step that goes by beats, and it can be counted here; what keeps it from that is said."""
        step, number = self._step, self._step.held.progress.next
        if step.held.holding and step.held.wrong is not None:
            step.say(f"Pace mode waits until the wrong knot is out. {step.key('keep')} leaves it as it is.")
        elif step.busy():
            return False
        elif number is None:
            step.say("All done.")
        elif not self._goes_by_beats(number):
            step.say(f"This step takes its own time: {step.key('done')} when it is done.")
        else:
            return True
        return False

    def _goes_by_beats(self, number: int) -> bool:
        """A knot does, but one that needs a new thread; of a step told in words, the further times of a counted one."""
        whole = self._step.held.whole
        part = whole.part_of(number)
        return not part.design.family.step_view.is_untimed(part.work, number - part.first, whole.step(number))

    def _passed(self) -> bool:
        """The step is done: its beat was let pass. False when the next one does not go by a beat."""
        if not self._step.go_on():
            return False
        following = self._step.held.progress.next
        if following is not None and not self._goes_by_beats(following):
            self.pause("Paused: this step takes its own time.", f"{self._step.key('done')} when it is done.")
        return self.beating and following is not None

    def pause(self, why: str = "Paused: this knot is not counted.", onward: str = "") -> None:
        """The beat stops, which is said, with how to go on; what had not passed is not counted."""
        self._stop()
        self._step.say(f"{why} {onward or self._step.key('beat') + ' goes on.'}")

    def _stop(self) -> None:
        if self._looking is not None:
            self._looking.stop()
            self._looking = None
            self._paused = time.monotonic()

    @property
    def just_paused(self) -> bool:
        """True for a moment after a pause, in which a step key says nothing new."""
        return time.monotonic() - self._paused < STILL

    @property
    def _can_be_seen(self) -> bool:
        return self._step.size.width >= SMALLEST[0] and self._step.size.height >= SMALLEST[1]

    @property
    def _to_come(self) -> float:
        return max(0.0, ceil((self._due - time.monotonic()) / SHOWN) * SHOWN)

    def beat(self) -> Beat | None:
        """What of the beat is shown."""
        if not self.beating:
            return None
        self._drawn = self._to_come
        key = self._step.key
        pauses, back = f"{key('done')} pauses", f"{key('back')} takes one back"
        pace_keys = f"{key('faster')} {key('slower')} pace {self.seconds:.1f} s"
        return Beat(self._drawn, self.seconds, (pauses, back, pace_keys))


def _within(seconds: float) -> float:
    return min(LONGEST, max(SHORTEST, seconds))
