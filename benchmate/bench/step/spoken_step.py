"""A step that is said: in words on the line for notices, and aloud when the voice is on."""

from collections.abc import Sequence
from typing import Protocol

from benchmate.bench.step.bench_voice import BenchVoice
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompts import Happened
from benchmate.store.held import Held


class Speaks(Protocol):
    """The screen whose steps are said."""

    @property
    def held(self) -> Held:
        """The piece."""

    @property
    def press(self) -> str:
        """What one press means now."""

    def say(self, notice: str) -> None:
        """Shows a notice."""


class SpokenStep:
    """Says the steps of a piece. Nothing waits for the voice."""

    def __init__(self, step: Speaks, voice: BenchVoice) -> None:
        self._step = step
        self.voice = voice

    def told(self, happened: Happened, steps: Sequence[int] = ()) -> None:
        """Says aloud what there is to do now, if the voice is on."""
        if self._step.held.holding:
            self.voice.tell(self._step.held, happened, steps, self._step.press)

    def again(self) -> None:
        """Says the step again, in words on the line for notices, and aloud if the voice is on."""
        held = self._step.held
        number, comes_out = held.now()
        if number is None:
            self._step.say("All done.")
        else:
            words = step_words.prompt(held.whole, number, comes_out=comes_out)
            self._step.say(words[0].upper() + words[1:] + ".")
        if held.holding and self.voice.on:
            self.speak()
            self.voice.again(held, self._step.press)

    def speak(self) -> None:
        """The voice on, and tried again when it could not speak."""
        if not self.voice.speaks:
            self.voice.switch(on=True)

    def switch(self) -> None:
        """The voice on or off; when it could not speak, tried again."""
        # One that could not speak is not turned off but tried again.
        self.voice.switch(on=not self.voice.speaks)
        self._step.say("Voice on." if self.voice.on else "Voice off.")
        self.told(Happened.RESUMED)
