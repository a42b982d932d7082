"""Pace mode: for hands that have no finger and no foot free, a knot counts as done when its beat has passed."""

import time
from math import ceil

from textual import events
from textual.timer import Timer

from benchmate.bench.step.spoken_step import SpokenScreen
from benchmate.bench.step.view import Beat
from benchmate.craft import pace
from benchmate.craft.prompts import Happened
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


class BeatScreen(SpokenScreen):
    """A bench on which knots can go by beats. Nothing counts but what the maker has let pass."""

    def __init__(self, held: Held) -> None:
        super().__init__(held)
        self.seconds = USUAL
        """How long a beat is."""
        self._by_hand = False
        self._due = 0.0
        self._looked = 0.0
        self._drawn = 0.0
        self._looking: Timer | None = None
        self._paused = float("-inf")

    def on_beat(self) -> bool:
        """One beat has passed: the step is done. False when it could not be counted, or nothing is left to do."""
        raise NotImplementedError

    def ready_to_beat(self) -> bool:
        """True when there is a step to tie, and it can be counted here; what keeps it from that is said."""
        raise NotImplementedError

    @property
    def beating(self) -> bool:
        """True while knots go by beats."""
        return self._looking is not None

    @property
    def press(self) -> str:
        """A beat is for one knot."""
        return "knot" if self.beating else super().press

    def action_beat(self) -> None:
        """Begins pace mode, at the maker's own pace until another one is chosen, or pauses it."""
        if self.beating:
            self.pause()
        elif not self._can_be_seen:
            self.say("The window is too small for pace mode.")
        elif self.ready_to_beat():
            own = None if self._by_hand else pace.seconds_a_knot(self.held.presses, least=FEW)
            self.seconds = self.seconds if own is None else _within(own)
            self._looked = time.time()
            self._begin_beat()
            self._looking = self.set_interval(LOOK, self._look)
            voice = self.bench.voice
            was_on = voice.on
            if not voice.speaks:
                voice.switch(on=True)
            self.say("" if was_on else "Voice on.")
            self.told(Happened.RESUMED)

    def action_faster(self) -> None:
        """Less time for a knot."""
        self._change_pace(1 / STEP)

    def action_slower(self) -> None:
        """More time for a knot."""
        self._change_pace(STEP)

    def _change_pace(self, times: float) -> None:
        if self.beating:
            self.seconds, self._by_hand = _within(self.seconds * times), True
            self._begin_beat()
            self.show()
        else:
            self.say(f"That changes pace mode, which {self.key('beat')} begins.")

    def _begin_beat(self) -> None:
        self._due = time.monotonic() + self.seconds

    def _look(self) -> None:
        # The steady clock may stand still while a machine is asleep; the clock on the wall does not.
        before, self._looked = self._looked, time.time()
        if abs(self._looked - before) > LATE:
            self.pause("Paused: the program or the machine stood still, and what was under way is not counted.")
            return
        if not self._can_be_seen:
            self.pause("Paused: the window is too small to see how much time is left.")
            return
        if self.bench.voice.speaking:
            # Nothing counts that is still being told.
            self._due = max(self._due, time.monotonic() + AFTER_WORDS)
        if time.monotonic() < self._due:
            if self._to_come != self._drawn:
                self.show()
        elif self.on_beat():
            self._begin_beat()
            self.show()
        else:
            self._stop()
            self.show()

    def reordered(self) -> None:
        """Another step may have taken this one's place: its beat begins anew."""
        self._begin_beat()
        super().reordered()

    def pause(self, why: str = "Paused: this knot is not counted.", onward: str = "") -> None:
        """The beat stops, which is said, with how to go on; what had not passed is not counted."""
        self._stop()
        self.say(f"{why} {onward or self.key('beat') + ' goes on.'}")

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
        return self.size.width >= SMALLEST[0] and self.size.height >= SMALLEST[1]

    @property
    def _to_come(self) -> float:
        return max(0.0, ceil((self._due - time.monotonic()) / SHOWN) * SHOWN)

    def beat(self) -> Beat | None:
        """What of the beat is shown."""
        if not self.beating:
            return None
        self._drawn = self._to_come
        pauses, back = f"{self.key('done')} pauses", f"{self.key('back')} takes one back"
        pace_keys = f"{self.key('faster')} {self.key('slower')} pace {self.seconds:.1f} s"
        return Beat(self._drawn, self.seconds, (pauses, back, pace_keys))

    def on_screen_suspend(self, event: events.ScreenSuspend) -> None:
        """Another screen lies over the bench: nothing can pass unseen."""
        if self.beating:
            self.pause()


def _within(seconds: float) -> float:
    return min(LONGEST, max(SHORTEST, seconds))
