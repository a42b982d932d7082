"""The voice and the sounds of a piece: what they say after each press, and how much."""

import math
import time
from collections.abc import Callable, Sequence

from benchmate.craft.laying_out import LayingStep, aloud
from benchmate.craft.progress import Progress
from benchmate.craft.wording.prompt_parts import Level, joined, sentences
from benchmate.craft.wording.prompts import NOTHING_BESIDE, Beside, Happened, again, prompt, sayable
from benchmate.craft.wording.spoken_length import MOST, at_most
from benchmate.settings import Settings
from benchmate.speech.manager import SpeechOptions
from benchmate.speech.sounds import Sound, Sounds
from benchmate.speech.speaker import Speaker
from benchmate.speech.voices import Voice
from benchmate.store.open_piece import OpenPiece

TICK = 0.3
"""The loudness of the tick at the end of a run, as a share of the voice's."""
LEVELS = tuple(Level)
BEFORE_WORDS = 1.0
"""So many seconds at most pass before the words of a prompt are heard, its sounds among them."""
HEARD = 5
"""After this many prompts heard to their end, shortened prompts become one level longer again."""


class PieceVoice:
    """Speaks prompts while it is on, and makes sounds where the settings say so.

    Nothing waits for either, and a failure of them stops nothing else.
    """

    def __init__(self, settings: Settings, report: Callable[[str], None]) -> None:
        """`report` is called, in another thread, with the reason when the voice cannot speak."""
        self._settings = settings
        self.on = False
        self._speaker = Speaker(report)
        self._asked: object = None
        self._count = 0
        self._forget()

    def _forget(self) -> None:
        self._last: Happened | None = None
        self._unheard: list[int] | None = []
        self._undone: list[int] = []
        self._shorter = self._heard = 0
        self._step_until = math.inf
        """When the words of the step are surely spoken, where more follow in the same prompt."""

    @property
    def settings(self) -> Settings:
        """The settings as they are now."""
        return self._settings

    @settings.setter
    def settings(self, settings: Settings) -> None:
        before, self._settings = self._settings, settings
        if before.sounds != settings.sounds and not self.on:
            self._be_ready()

    @property
    def speaks(self) -> bool:
        """True when the voice is on and has not failed."""
        return self.on and not self._speaker.failed

    @property
    def speaking(self) -> bool:
        """True while a prompt or a sound is being played, or is about to be."""
        return self._speaker.speaking

    def quiet_since(self) -> float | None:
        """When the last prompt or sound ended, by the monotonic clock; None while one plays or is about to.

        Minus infinity when there was none. May be called from any thread.
        """
        return self._speaker.quiet_since

    def switch(self, *, on: bool) -> None:
        """Turns the voice on or off; sounds go on. Turned on again, it retries what failed before."""
        if self.on and not on and self._sounds_on:
            self._speaker.hush()
        self.on = on
        self._forget()
        self._be_ready()

    def _be_ready(self) -> None:
        if self.on or self._sounds_on:
            self._speaker.on()
        else:
            self._speaker.off()

    @property
    def _sounds_on(self) -> bool:
        return self._settings.sounds == "on"

    def close(self) -> None:
        """Ends the voice, which leaves no process and no file."""
        self._speaker.close()

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Calls `answer`, in another thread, with this machine's voices."""
        self._speaker.voices(answer)

    def steps_of_press(self, held: OpenPiece, press: str) -> list[int]:
        """The steps that one press ties now: with the voice on, no more of them than one prompt can say.

        What is shown, said and counted asks this. Prompts that get shorter for fast hands change nothing in it.
        """
        return self._sayable(held, press) if self.on else held.steps_of_press(press)

    def _sayable(self, held: OpenPiece, press: str) -> list[int]:
        steps, settings, progress = held.steps_of_press(press), self.settings, held.progress
        if len(steps) < 2:
            return steps
        # It is asked several times between two presses, and words for a whole row take a while to make.
        asked = (
            held.whole,
            progress.done,
            progress.last,
            steps,
            [*progress.hanging],
            settings.level,
            settings.knot_names,
        )
        if asked != self._asked:
            count = sayable(held.whole, progress, steps, Level(settings.level), settings.knot_names)
            self._asked, self._count = asked, count
        return steps[: self._count]

    def say_step(
        self,
        held: OpenPiece,
        happened: Happened,
        steps: Sequence[int] = (),
        press: str = "knot",
        beside: Beside = NOTHING_BESIDE,
    ) -> None:
        """Says the next step, after what just happened to `steps`; cuts off what is still being played.

        What is said `beside` it comes before both, and after. A tip comes in prompts of the full level alone, while no
        taps are listened for and the hands are no faster than the voice.

        Sounds come before the words; while the voice is off, they come alone.

        A prompt cut off was not heard, so what only it said is said again; and while the hands are faster than the
        voice, prompts get shorter.
        """
        sounds = self._sounds(held, happened, steps)
        if not self.on:
            if sounds is not None:
                self._say("", self._options, sounds)
            return
        # Who cuts off only what came after the step has heard the step.
        cut_off = self._speaker.speaking and time.monotonic() < self._step_until
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
        words = _then(beside.first, words)
        then = beside.then or (beside.tip if self._has_time(words, beside.tip) else "")
        if then:
            self._say(sentences(words, then), self._options, sounds)
            self._step_until = time.monotonic() + BEFORE_WORDS + at_most(words) * 150 / self._options.rate
        else:
            self._say(words, self._options, sounds)

    def _has_time(self, words: str, tip: str) -> bool:
        """Whether a tip is said after the words of a step."""
        full = Level(self.settings.level) is Level.FULL and not self._shorter
        # No tap is heard while the voice speaks.
        return full and self.settings.listen == "off" and len(words) + len(tip) + len(". ") <= MOST

    def _say(self, words: str, options: SpeechOptions, sounds: Sounds | None = None) -> None:
        self._step_until = math.inf
        self._speaker.say(words, options, sounds)

    def refused(self, held: OpenPiece, why: str, press: str = "knot", *, goes_on: bool = True) -> None:
        """Says that a press changed nothing, and why; then, if the work `goes_on`, the step to do."""
        sounds = self._made(Sound.WRONG_WAY) if self._sounds_on else None
        if self.on:
            self._last = Happened.RESUMED
            step = self._words(held, Happened.RESUMED, (), press) if goes_on else ""
            self._say(joined([why, step]), self._options, sounds)
        elif sounds is not None:
            self._say("", self._options, sounds)

    def say_then_step(self, held: OpenPiece, words: str, press: str = "knot") -> None:
        """Says words, and after them the step to do."""
        if self.on:
            self._last = Happened.RESUMED
            self._say(_then(words, self._words(held, Happened.RESUMED, (), press)), self._options)

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
            self._say(words, self._options)

    def say_laid(self, step: LayingStep, lead: str = "", sound: Sound | None = None, *, in_full: bool = False) -> None:
        """Says a step of laying out, after the `sound` for the press that led there where sounds are on."""
        sounds = None if sound is None or not self._sounds_on else self._made(sound)
        if self.on:
            self._last = Happened.RESUMED
            level = Level.FULL if in_full else Level(self.settings.level)
            self._say(aloud(step, level, lead), self._options, sounds)
        elif sounds is not None:
            self._say("", self._options, sounds)

    def again(self, held: OpenPiece, press: str = "knot") -> None:
        """Says the next step in full."""
        if self.on:
            self._last = Happened.RESUMED
            out, ahead = held.must_come_out(), self._ahead(held, press)
            words = again(held.as_known, held.progress, out=out, ahead=ahead, names=self.settings.knot_names)
            self._say(words, self._options)

    def try_out(self, held: OpenPiece, press: str = "knot") -> None:
        """Says the next two steps with the present settings, even while the voice is off."""
        self._speaker.on()
        self._forget()
        words = self._words(held, Happened.RESUMED, (), press)
        steps = self._sayable(held, press)
        if steps and held.wrong is None:
            after = Progress.resume(held.whole, held.order, [*held.progress.history, *steps])
            level, names = Level(self.settings.level), self.settings.knot_names
            words = f"{words}. {prompt(held.whole, after, Happened.TIED, steps, level, names=names)}"
        has_tick = self.settings.tick == "on" and not self._sounds_on
        self._say(words, self._options, Sounds((Sound.TICK,), TICK) if has_tick else None)

    def try_sound(self, sound: Sound, name: str) -> None:
        """Plays a sound with the present settings, even while sounds are off; says its `name` if the voice is on."""
        self._forget()
        self._say(name if self.on else "", self._options, self._made(sound))

    def stop_trial(self) -> None:
        """Stops what `try_out` or `try_sound` plays, and ends all if neither voice nor sounds are on."""
        if self.on or self._sounds_on:
            self._speaker.hush()
        else:
            self._speaker.off()

    def hush(self) -> None:
        """Cuts off the prompt that is being spoken."""
        self._speaker.hush()

    def _words(
        self, held: OpenPiece, happened: Happened, steps: Sequence[int], press: str, unheard: Sequence[int] | None = ()
    ) -> str:
        number, shorter = held.progress.next, self._shorter
        if number is not None and not held.whole.part_of(number).design.family.row_word:
            # A written step may hold a caution, and fast hands do not know it yet.
            shorter = 0
        level = LEVELS[min(len(LEVELS) - 1, LEVELS.index(Level(self.settings.level)) + shorter)]
        out, ahead = held.must_come_out(), self._ahead(held, press)
        names = self.settings.knot_names
        return prompt(
            held.as_known, held.progress, happened, steps, level, unheard=unheard, out=out, ahead=ahead, names=names
        )

    def _ahead(self, held: OpenPiece, press: str) -> Sequence[int]:
        return () if press == "knot" else self._sayable(held, press)

    @property
    def _options(self) -> SpeechOptions:
        settings = self.settings
        return SpeechOptions(settings.rate, settings.volume / 100, settings.speaker or None, settings.language)

    def _made(self, *which: Sound) -> Sounds:
        return Sounds(which, self.settings.sounds_volume / 100)

    def _sounds(self, held: OpenPiece, happened: Happened, steps: Sequence[int]) -> Sounds | None:
        """The sounds for what happened; None for silence."""
        tied = happened is Happened.TIED and bool(steps)
        if not self._sounds_on:
            ticks = tied and self.on and self.settings.tick == "on" and _ends_run(held, steps)
            return Sounds((Sound.TICK,), TICK) if ticks else None
        if happened in (Happened.UNDONE, Happened.OUT):
            return self._made(Sound.UNDONE)
        if not tied:
            return None
        ends = [Sound.ROW_END] * _ends_row(held, steps) + [Sound.STRING_CHANGE] * _changes_string(held, steps)
        return self._made(*(ends or [Sound.DONE]))


def _then(first: str, words: str) -> str:
    """Words after what is said first: a sentence of their own after a sentence, else after a pause."""
    return sentences(first, words) if first.endswith((".", "?", "!")) else joined([first, words])


def _ends_run(held: OpenPiece, steps: Sequence[int]) -> bool:
    run = held.progress.current_run
    return held.whole.knotting(steps[-1]) != 0 and (run is None or run.at == 1)


def _changes_string(held: OpenPiece, steps: Sequence[int]) -> bool:
    """True when the next knot is made with another string than the last one."""
    number = held.progress.next
    strings = {0} if number is None else {held.whole.knotting(number), held.whole.knotting(steps[-1])}
    return 0 not in strings and len(strings) > 1


def _ends_row(held: OpenPiece, steps: Sequence[int]) -> bool:
    """True when these steps complete a row, or in a braid a repeat."""
    whole = held.whole
    rows = {whole.row_of(number) for number in steps if whole.part_of(number).design.family.row_word}
    # Backwards, because the last steps of a row are the likeliest to be open.
    return any(all(map(held.progress.is_tied, reversed(range(*whole.span(row))))) for row in rows)
