"""The voice at the bench: what is said after every press, how, and whether at all."""

from collections.abc import Callable, Sequence

from benchmate.craft.progress import Progress
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, again, prompt
from benchmate.settings import Settings
from benchmate.speech.manager import Manner
from benchmate.speech.speaker import Speaker
from benchmate.speech.voices import Voice
from benchmate.store.held import Held

TICK = 0.3
"""How loud the tick at the end of a run is, of 1."""
LEVELS = tuple(Level)
HEARD = 5
"""After so many prompts heard to their end, more is said again to hands that were too fast for it."""


class BenchVoice:
    """Speaks prompts, or does not. Nothing here waits for the voice, and no failure of it goes any further."""

    def __init__(self, settings: Settings, report: Callable[[str], None]) -> None:
        """`report` is called, in another thread, with what keeps the voice from speaking."""
        self.settings = settings
        self.on = False
        self._speaker = Speaker(report)
        self._forget()

    def _forget(self) -> None:
        self._last: Happened | None = None
        self._unheard: list[int] | None = []
        self._undone: list[int] = []
        self._shorter = self._heard = 0

    @property
    def speaks(self) -> bool:
        """True when it is on and nothing is known that keeps it from speaking."""
        return self.on and not self._speaker.failed

    @property
    def speaking(self) -> bool:
        """True while something is being said, or is about to be."""
        return self._speaker.speaking

    def switch(self, *, on: bool) -> None:
        """On or off; on again, it tries anew what failed before."""
        self.on = on
        self._forget()
        if on:
            self._speaker.on()
        else:
            self._speaker.off()

    def close(self) -> None:
        """Leaves no process and no file."""
        self._speaker.close()

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Has `answer` called, in another thread, with the voices there are."""
        self._speaker.voices(answer)

    def tell(self, held: Held, happened: Happened, steps: Sequence[int] = (), press: str = "knot") -> None:
        """Says what there is to do now, after what has happened; what was being said is cut off.

        A prompt that was cut off was not heard: nothing is taken for known that only it has said, and hands that are
        faster than the voice hear less.
        """
        if not self.on:
            return
        cut_off = self._speaker.speaking
        if not cut_off:
            self._unheard, self._undone = [], []
        elif happened is not self._last:
            self._unheard, self._undone = None, []
        self._last = happened
        tied = happened is Happened.TIED
        self._hurry(cut_off=cut_off and tied)
        if happened is Happened.UNDONE:
            steps = self._undone = [*self._undone, *steps]
        words = self._words(held, happened, steps, press, unheard=self._unheard)
        if tied and self._unheard is not None:
            self._unheard = [*self._unheard, *steps]
        self._speaker.say(words, self._manner, self._tick(held, steps) if tied else None)

    def _hurry(self, *, cut_off: bool) -> None:
        """A press that cuts a prompt off makes the next ones shorter, until some have been heard to their end."""
        self._heard = 0 if cut_off else self._heard + 1
        if cut_off:
            self._shorter = min(len(LEVELS) - 1, self._shorter + 1)
        elif self._heard >= HEARD and self._shorter:
            self._shorter, self._heard = self._shorter - 1, 0

    def again(self, held: Held, press: str = "knot") -> None:
        """Says the step to do now in full."""
        if self.on:
            self._last = Happened.RESUMED
            words = again(held.whole, held.progress, out=held.must_come_out(), ahead=_ahead(held, press))
            self._speaker.say(words, self._manner)

    def try_out(self, held: Held, press: str = "knot") -> None:
        """Says the step to do now and the one after it, on or off, to hear how it sounds and how much it says."""
        self._speaker.on()
        self._forget()
        words = self._words(held, Happened.RESUMED, (), press)
        steps = held.meant_by(press)
        if steps and held.wrong is None:
            after = Progress.resume(held.whole, held.order, [*held.progress.history, *steps])
            level = Level(self.settings.level)
            words = f"{words}. {prompt(held.whole, after, Happened.TIED, steps, level)}"
        self._speaker.say(words, self._manner, TICK if self.settings.tick == "on" else None)

    def tried(self) -> None:
        """It was heard: silence again, and nothing kept ready where the voice is off."""
        if self.on:
            self._speaker.hush()
        else:
            self._speaker.off()

    def hush(self) -> None:
        """Cuts off what is being said."""
        self._speaker.hush()

    def _words(
        self, held: Held, happened: Happened, steps: Sequence[int], press: str, unheard: Sequence[int] | None = ()
    ) -> str:
        level = LEVELS[min(len(LEVELS) - 1, LEVELS.index(Level(self.settings.level)) + self._shorter)]
        out, ahead = held.must_come_out(), _ahead(held, press)
        return prompt(held.whole, held.progress, happened, steps, level, unheard=unheard, out=out, ahead=ahead)

    @property
    def _manner(self) -> Manner:
        settings = self.settings
        return Manner(settings.rate, settings.volume / 100, settings.speaker or None, settings.language)

    def _tick(self, held: Held, steps: Sequence[int]) -> float | None:
        """A soft tick ends a run: it leads the prompt with which another string is taken in hand, or none any more."""
        run = held.progress.current_run
        ended = held.whole.knotting(steps[-1]) and (run is None or run.at == 1)
        return TICK if ended and self.settings.tick == "on" else None


def _ahead(held: Held, press: str) -> Sequence[int]:
    return () if press == "knot" else held.meant_by(press)
