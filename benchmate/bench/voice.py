"""The voice at the bench: what is said after every press, how, and whether at all."""

from collections.abc import Callable, Sequence

from benchmate.craft.prompts import Happened, Level, again, prompt
from benchmate.settings import Settings
from benchmate.speech.manager import Manner
from benchmate.speech.speaker import Speaker
from benchmate.speech.voices import Voice
from benchmate.store.held import Held

TICK = 0.3
"""How loud the tick at the end of a run is, of 1."""


class BenchVoice:
    """Speaks prompts, or does not. Nothing here waits for the voice, and no failure of it goes any further."""

    def __init__(self, settings: Settings, report: Callable[[str], None]) -> None:
        """`report` is called, in another thread, with what keeps the voice from speaking."""
        self.settings = settings
        self.on = False
        self._speaker = Speaker(report)
        self._unheard: list[int] | None = None

    def switch(self, *, on: bool) -> None:
        """On or off."""
        self.on = on
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
        """Says what there is to do now, after what has happened; what was being said is cut off."""
        if not self.on:
            return
        tied = happened is Happened.TIED
        # A prompt that was cut off was not heard: nothing may be taken for known that only it has said.
        if not tied:
            self._unheard, said_of = None, steps
        elif not self._speaker.speaking:
            self._unheard = said_of = list(steps)
        elif self._unheard is not None:
            self._unheard = said_of = [*self._unheard, *steps]
        else:
            said_of = ()
        words = self._words(held, happened, said_of, press)
        self._speaker.say(words, self._manner, self._tick(held, steps) if tied else None)

    def again(self, held: Held, press: str = "knot") -> None:
        """Says the step to do now in full."""
        if self.on:
            self._unheard = None
            words = again(held.whole, held.progress, out=held.must_come_out(), ahead=_ahead(held, press))
            self._speaker.say(words, self._manner)

    def try_out(self, held: Held, press: str = "knot") -> None:
        """Says the step to do now, on or off, to hear how it sounds."""
        self._speaker.on()
        tick = TICK if self.settings.tick == "on" else None
        self._speaker.say(self._words(held, Happened.RESUMED, (), press), self._manner, tick)

    def tried(self) -> None:
        """It was heard: silence again, and nothing kept ready where the voice is off."""
        if self.on:
            self._speaker.hush()
        else:
            self._speaker.off()

    def hush(self) -> None:
        """Cuts off what is being said."""
        self._speaker.hush()

    def _words(self, held: Held, happened: Happened, steps: Sequence[int], press: str) -> str:
        return prompt(
            held.whole,
            held.progress,
            happened,
            steps,
            Level(self.settings.level),
            out=held.must_come_out(),
            ahead=_ahead(held, press),
        )

    @property
    def _manner(self) -> Manner:
        settings = self.settings
        return Manner(settings.rate, settings.volume / 100, settings.speaker or None, settings.language)

    def _tick(self, held: Held, steps: Sequence[int]) -> float | None:
        """A soft tick ends a run: it leads the prompt with which another string is taken in hand, or none any more."""
        run = held.progress.in_hand
        ended = held.whole.maker(steps[-1]) and (run is None or run.at == 1)
        return TICK if ended and self.settings.tick == "on" else None


def _ahead(held: Held, press: str) -> Sequence[int]:
    return () if press == "knot" else held.meant_by(press)
