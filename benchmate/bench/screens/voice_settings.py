"""The settings of the voice: how it sounds and how much it says, with a key to hear it."""

from collections.abc import Callable
from typing import Protocol

from textual.message import Message

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line
from benchmate.settings import LEVELS, ON_OR_OFF, RATES, VOLUMES, Settings
from benchmate.speech.voices import Voice, matching
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece

ROWS = ("level", "rate", "volume", "speaker", "tick", "voice")
SAYS = {"full": "full, for learning", "short": "short", "sparse": "sparse, only what changes"}


class VoiceTrial(Protocol):
    """What this screen uses of the voice."""

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        """Calls `answer`, in another thread, with this machine's voices."""

    def try_out(self, held: OpenPiece, press: str = "knot") -> None:
        """Speaks the next steps."""

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
        settings = self.bench.settings
        says = {
            "level": f"how much it says: {SAYS[settings.level]}",
            "rate": f"words a minute: {settings.rate}",
            "volume": f"loudness: {settings.volume} of 100",
            "speaker": f"voice: {self._called(settings)}",
            "tick": f"a soft tick at the end of a run with one string: {settings.tick}",
            "voice": f"the voice when the bench opens: {settings.voice}",
        }
        items = [Item(says[name], chosen=at == self._at) for at, name in enumerate(ROWS)]
        texts = [self._said] if self._said else []
        foot = "up/down   left/right: change   enter: hear it   escape: back"
        return page("VOICE", texts, items, foot, width, height, self.palette)

    def _called(self, settings: Settings) -> str:
        language = settings.language
        if self._voices is None:
            return settings.speaker or f"any for {language}"
        if not self._voices:
            return f"none here for {language}"
        named = next((voice.name for voice in self._voices if voice.id == settings.speaker), None)
        if settings.speaker and named is None:
            return f"{settings.speaker}, not on this machine"
        return named or f"any for {language}, now {self._voices[0].name}"

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
            self._said = ""
            self._voice.try_out(self._held, self.bench.press)
        self.show()

    def _change(self, by: int) -> None:
        try:
            self.bench.change_settings(lambda settings: self._changed(settings, by))
            self._said = ""
        except StoreError as error:
            self._said = str(error)

    def _changed(self, settings: Settings, by: int) -> Settings:
        match ROWS[self._at]:
            case "rate":
                return settings._replace(rate=_within(settings.rate + 10 * by, RATES))
            case "volume":
                return settings._replace(volume=_within(settings.volume + 10 * by, VOLUMES))
            case "level":
                return settings._replace(level=_next(LEVELS, settings.level, by))
            case "tick":
                return settings._replace(tick=_next(ON_OR_OFF, settings.tick, by))
            case "voice":
                return settings._replace(voice=_next(ON_OR_OFF, settings.voice, by))
            case _:
                ids = ["", *(voice.id for voice in self._voices or ())]
                return settings._replace(speaker=_next(ids, settings.speaker, by))


def _within(number: int, bounds: tuple[int, int]) -> int:
    return min(bounds[1], max(bounds[0], number))


def _next(choices: tuple[str, ...] | list[str], now: str, by: int) -> str:
    at = choices.index(now) if now in choices else 0
    return choices[(at + by) % len(choices)]
