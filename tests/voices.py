"""A voice without sound: records what the bench would have said, and how."""

from collections.abc import Callable
from typing import NamedTuple

import pytest

from benchmate import piece_voice as voice
from benchmate.speech.manager import SpeechOptions
from benchmate.speech.sounds import Sounds
from benchmate.speech.voices import Voice


class Said(NamedTuple):
    """A prompt as the bench handed it over."""

    words: str
    options: SpeechOptions
    sounds: Sounds | None

    @property
    def heard(self) -> list[str]:
        """The sounds before the words, by name."""
        return [each.value for each in self.sounds.which] if self.sounds else []


class Recorder:
    """Replaces a speaker. A test sets `speaking`: true while the last prompt is not yet heard to its end."""

    def __init__(self, report: Callable[[str], None]) -> None:
        self.report = report
        self.said: list[Said] = []
        self.switched: list[str] = []
        self.speaking = self.failed = False
        self.here: list[Voice] = []
        """The voices of this machine."""
        self.quiet_since: float | None = float("-inf")

    def on(self) -> None:
        self.switched.append("on")

    def off(self) -> None:
        self.switched.append("off")

    def hush(self) -> None:
        self.switched.append("hush")

    def close(self) -> None:
        self.switched.append("close")

    def say(self, text: str, options: SpeechOptions, sounds: Sounds | None = None) -> None:
        self.said.append(Said(text, options, sounds))

    def voices(self, answer: Callable[[list[Voice]], None]) -> None:
        answer(self.here)

    @property
    def last(self) -> str:
        """The text said last."""
        return self.said[-1].words

    @property
    def words(self) -> list[str]:
        """Every text said so far."""
        return [said.words for said in self.said]


def recorder(monkeypatch: pytest.MonkeyPatch) -> Callable[[], Recorder]:
    """Makes the bench speak to recorders; returns a function that gives the latest one."""
    made: list[Recorder] = []

    def make(report: Callable[[str], None]) -> Recorder:
        made.append(Recorder(report))
        return made[-1]

    monkeypatch.setattr(voice, "Speaker", make)
    return lambda: made[-1]
