"""A screen that says its steps: in words on the line for notices, and aloud when the voice is on."""

from collections.abc import Sequence

from benchmate.bench.screens.voice_settings import SoundScreen
from benchmate.bench.step.planning import PlanningScreen
from benchmate.craft import telling
from benchmate.craft.prompts import Happened


class SpokenScreen(PlanningScreen):
    """A screen with a piece on it that is spoken when the voice is on. Nothing waits for the voice."""

    @property
    def press(self) -> str:
        """What one press means now."""
        return self.bench.press

    def told(self, happened: Happened, steps: Sequence[int] = ()) -> None:
        """Says aloud what there is to do now, if the voice is on."""
        if self.held.holding:
            self.bench.voice.tell(self.held, happened, steps, self.press)

    def reordered(self) -> None:
        """Says the step afresh."""
        self.told(Happened.RESUMED)

    def action_again(self) -> None:
        """Says the step again, in words on the line for notices, and aloud if the voice is on."""
        number, comes_out = self.held.now()
        if number is None:
            self.say("All done.")
        else:
            words = telling.prompt(self.held.whole, number, comes_out=comes_out)
            self.say(words[0].upper() + words[1:] + ".")
        voice = self.bench.voice
        if self.held.holding and voice.on:
            if not voice.speaks:
                voice.switch(on=True)
            voice.again(self.held, self.press)

    def action_voice(self) -> None:
        """The voice on or off; when it could not speak, tried again."""
        voice = self.bench.voice
        # One that could not speak is not turned off but tried again.
        voice.switch(on=not voice.speaks)
        self.say("Voice on." if voice.on else "Voice off.")
        self.told(Happened.RESUMED)

    def action_sound(self) -> None:
        """Chooses how the voice sounds, and how much it says."""
        self.app.push_screen(SoundScreen(self.held), self._sound_chosen)

    def _sound_chosen(self, answer: str | None) -> None:
        self.told(Happened.RESUMED)
        self.show()
