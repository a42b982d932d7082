"""Says a step aloud when the voice is on, and repeats it in words on the screen."""

from collections.abc import Sequence
from typing import Protocol

from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompts import NOTHING_BESIDE, Beside, Happened, again
from benchmate.piece_voice import PieceVoice
from benchmate.store.open_piece import OpenPiece


class Speaks(Protocol):
    """The step screen as the voice uses it."""

    @property
    def held(self) -> OpenPiece:
        """The piece."""

    @property
    def press(self) -> str:
        """What one press counts now."""

    def say(self, notice: str) -> None:
        """Shows a notice."""

    def tell(self, words: str) -> None:
        """Shows the instruction in words, alone on the screen, until the next press."""


class SpokenStep:
    """Says the steps of a piece. Nothing waits for the voice."""

    def __init__(self, step: Speaks, voice: PieceVoice) -> None:
        self._step = step
        self.voice = voice
        self.said = 0
        """How often a step was said, if the voice was on."""

    def say_step(self, happened: Happened, steps: Sequence[int] = (), beside: Beside = NOTHING_BESIDE) -> None:
        """Says the next step aloud, with what is said beside it, if the voice is on."""
        if self._step.held.holding:
            self.said += 1
            self.voice.say_step(self._step.held, happened, steps, self._step.press, beside)

    def say_then_step(self, words: str) -> None:
        """Says words and then the next step aloud, if the voice is on."""
        if self._step.held.holding:
            self.said += 1
            self.voice.say_then_step(self._step.held, words, self._step.press)

    def steps_of_press(self) -> list[int]:
        """The steps that one press ties now: those that are shown, said and counted."""
        return self.voice.steps_of_press(self._step.held, self._step.press)

    def refused(self, why: str, *, goes_on: bool = True) -> None:
        """Says that a press changed nothing, and why; then, if the work `goes_on`, the step to do."""
        held = self._step.held
        self.voice.refused(held, why, self._step.press, goes_on=goes_on and held.holding)

    def again(self) -> None:
        """Repeats the instruction of the whole press, in words on the screen and, if the voice is on, aloud."""
        held = self._step.held
        number, comes_out = held.current_step()
        if number is None:
            self._step.say("All done.")
        else:
            steps = [number] if comes_out else self.steps_of_press()
            if len(steps) > 1:
                words = again(held.whole, held.progress, ahead=steps, most=None)
            else:
                words = step_words.prompt(held.as_known, number, comes_out=comes_out)
            self._step.tell(words[0].upper() + words[1:].rstrip(".") + ".")
        self.aloud()

    def aloud(self) -> None:
        """Repeats the instruction of the whole press aloud, if the voice is on."""
        if self._step.held.holding and self.voice.on:
            self.speak()
            self.voice.again(self._step.held, self._step.press)

    def speak(self) -> None:
        """Turns the voice on, and retries one that could not speak."""
        if not self.voice.speaks:
            self.voice.switch(on=True)

    def switch(self) -> None:
        """Turns the voice on or off; retries one that could not speak."""
        # A voice that is on but could not speak is retried, not turned off.
        self.voice.switch(on=not self.voice.speaks)
        self._step.say("Voice on." if self.voice.on else "Voice off.")
        self.say_step(Happened.RESUMED)
