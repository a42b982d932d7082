"""The voice at the bench: what it says after each press, and how much."""

from collections.abc import Callable, Sequence

from benchmate.craft.progress import Progress
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, again, prompt
from benchmate.settings import Settings
from benchmate.speech.manager import SpeechOptions
from benchmate.speech.speaker import Speaker
from benchmate.speech.voices import Voice
from benchmate.store.open_piece import OpenPiece

TICK = 0.3
"""The loudness of the tick at the end of a run, of 1."""
LEVELS = tuple(Level)
HEARD = 5
"""After this many prompts heard to their end, shortened prompts become one level longer again."""


class PieceVoice:
    """Speaks prompts while it is on. Nothing waits for the voice, and a failure of it stops nothing else."""

    def __init__(self, settings: Settings, report: Callable[[str], None]) -> None:
        """`report` is called, in another thread, with the reason when the voice cannot speak."""
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
        """True when the voice is on and has not failed."""
        return self.on and not self._speaker.failed

    @property
    def speaking(self) -> bool:
        """True while a prompt is being spoken, or is about to be."""
        return self._speaker.speaking

    def switch(self, *, on: bool) -> None:
        """Turns the voice on or off. Turned on again, it retries what failed before."""
        self.on = on
        self._forget()
        if on:
            self._speaker.on()
        else:
            self._speaker.off()

    def close(self) -> None:
        """Ends the voice, which leaves no process and no file."""
        self._speaker.close()

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Calls `answer`, in another thread, with this machine's voices."""
        self._speaker.voices(answer)

    def say_step(self, held: OpenPiece, happened: Happened, steps: Sequence[int] = (), press: str = "knot") -> None:
        """Says the next step, after what just happened to `steps`; cuts off a prompt that is still being spoken.

        A prompt cut off was not heard, so what only it said is said again; and while the hands are faster than the
        voice, prompts get shorter.
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
        self._speaker.say(words, self._options, self._tick(held, steps) if tied else None)

    def _hurry(self, *, cut_off: bool) -> None:
        """Shortens the next prompts when a press cuts one off, until enough have been heard to their end."""
        self._heard = 0 if cut_off else self._heard + 1
        if cut_off:
            self._shorter = min(len(LEVELS) - 1, self._shorter + 1)
        elif self._heard >= HEARD and self._shorter:
            self._shorter, self._heard = self._shorter - 1, 0

    def say(self, words: str) -> None:
        """Says words that belong to no step, if the voice is on."""
        if self.on:
            self._last = Happened.RESUMED
            self._speaker.say(words, self._options)

    def again(self, held: OpenPiece, press: str = "knot") -> None:
        """Says the next step in full."""
        if self.on:
            self._last = Happened.RESUMED
            words = again(held.whole, held.progress, out=held.must_come_out(), ahead=_ahead(held, press))
            self._speaker.say(words, self._options)

    def try_out(self, held: OpenPiece, press: str = "knot") -> None:
        """Says the next two steps with the present settings, even while the voice is off."""
        self._speaker.on()
        self._forget()
        words = self._words(held, Happened.RESUMED, (), press)
        steps = held.steps_of_press(press)
        if steps and held.wrong is None:
            after = Progress.resume(held.whole, held.order, [*held.progress.history, *steps])
            level = Level(self.settings.level)
            words = f"{words}. {prompt(held.whole, after, Happened.TIED, steps, level)}"
        self._speaker.say(words, self._options, TICK if self.settings.tick == "on" else None)

    def stop_trial(self) -> None:
        """Stops speaking after `try_out`, and shuts the voice down again if it is off."""
        if self.on:
            self._speaker.hush()
        else:
            self._speaker.off()

    def hush(self) -> None:
        """Cuts off the prompt that is being spoken."""
        self._speaker.hush()

    def _words(
        self, held: OpenPiece, happened: Happened, steps: Sequence[int], press: str, unheard: Sequence[int] | None = ()
    ) -> str:
        level = LEVELS[min(len(LEVELS) - 1, LEVELS.index(Level(self.settings.level)) + self._shorter)]
        out, ahead = held.must_come_out(), _ahead(held, press)
        return prompt(held.whole, held.progress, happened, steps, level, unheard=unheard, out=out, ahead=ahead)

    @property
    def _options(self) -> SpeechOptions:
        settings = self.settings
        return SpeechOptions(settings.rate, settings.volume / 100, settings.speaker or None, settings.language)

    def _tick(self, held: OpenPiece, steps: Sequence[int]) -> float | None:
        """The loudness of the tick before a prompt that follows the end of a run; None for no tick."""
        run = held.progress.current_run
        ended = held.whole.knotting(steps[-1]) and (run is None or run.at == 1)
        return TICK if ended and self.settings.tick == "on" else None


def _ahead(held: OpenPiece, press: str) -> Sequence[int]:
    return () if press == "knot" else held.steps_of_press(press)
