"""The settings of the voice and the sounds: how they sound and how much they say, with a key to hear them."""

from collections.abc import Callable
from typing import Protocol

from textual.message import Message

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line
from benchmate.piece_questions import voice_choices
from benchmate.speech.sounds import Sound
from benchmate.speech.voices import Voice, matching
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece

ROWS = tuple(voice_choices.CALLED)


class VoiceTrial(Protocol):
    """What this screen uses of the voice."""

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Calls `answer`, in another thread, with this machine's voices."""

    def try_out(self, held: OpenPiece, press: str = "knot") -> None:
        """Speaks the next steps."""

    def try_sound(self, sound: Sound, name: str) -> None:
        """Plays a sound, and says its name if the voice is on."""

    def stop_trial(self) -> None:
        """Stops speaking."""


class VoiceSettingsScreen(LinesScreen[None]):
    """Changes the settings of the voice; each change is saved at once."""

    class Found(Message):
        """The voices of this machine have been found."""

        def __init__(self, voices: list[Voice]) -> None:
            super().__init__()
            self.voices = voices

    def __init__(self, bench: Bench, held: OpenPiece, voice: VoiceTrial) -> None:
        """The next steps of the piece `held` are the words to hear."""
        super().__init__(bench)
        self._voice = voice
        self._held = held
        self._at = 0
        self._voices: list[Voice] | None = None
        self._said = ""
        self._tried = 0

    def on_mount(self) -> None:
        """Asks for this machine's voices; the answer comes later."""
        self._voice.voices(self._found)

    def _found(self, voices: list[Voice]) -> None:
        # This runs in another thread; posting a message does not block it.
        self.post_message(self.Found(voices))

    def on_voice_settings_screen_found(self, message: Found) -> None:
        """Shows the voices that were found."""
        self._voices = matching(message.voices, self.bench.settings.language)
        self.show()

    def lines(self, width: int, height: int) -> list[Line]:
        """A line for each setting."""
        rows = voice_choices.rows(self.bench.settings, self._voices)
        items = [Item(row.says, chosen=at == self._at) for at, row in enumerate(rows)]
        texts = [self._said] if self._said else []
        foot = "up/down   left/right: change   enter: hear it   escape: back"
        return page("VOICE", texts, items, foot, width, height, self.palette)

    def say(self, notice: str) -> None:
        """Shows why the voice cannot speak."""
        self._said = notice
        self.show()

    def on_key(self, event: Key) -> None:
        """Arrows choose and change a setting; enter plays a sample."""
        event.stop()
        if event.key in ("escape", "q", "s"):
            self._voice.stop_trial()
            self.dismiss(None)
        elif event.key in ("up", "down"):
            self._at = (self._at + (1 if event.key == "down" else -1)) % len(ROWS)
        elif event.key in ("left", "right"):
            self._change(1 if event.key == "right" else -1)
        elif event.key in ("enter", "space", "h"):
            self._hear()
        self.show()

    def _hear(self) -> None:
        """Plays a sample of what is chosen: the next of the sounds, or the next steps."""
        self._said = ""
        if ROWS[self._at] not in ("sounds", "sounds_volume"):
            self._voice.try_out(self._held, self.bench.press)
            return
        sounds = list(voice_choices.SOUNDS.items())
        sound, name = sounds[self._tried % len(sounds)]
        self._tried += 1
        self._voice.try_sound(sound, name)
        self._said = f"Sound {self._tried % len(sounds) or len(sounds)} of {len(sounds)}: {name}."

    def _change(self, by: int) -> None:
        try:
            name, voices = ROWS[self._at], self._voices
            self.bench.change_settings(lambda settings: voice_choices.stepped(settings, name, by, voices))
            self._said = ""
        except StoreError as error:
            self._said = str(error)
