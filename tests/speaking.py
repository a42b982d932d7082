"""A room to speak in: a silent player, a folder for temporary files, and a view of its processes and files."""

import json
import os
import signal
import tempfile
import time
from collections.abc import Callable, Collection
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

import pytest

from benchmate.speech.manager import SpeechOptions
from benchmate.speech.sounds import Sounds
from benchmate.speech.speaker import Speaker
from tests.player import Played, Player
from tests.reference_voice import Rendered
from tests.running import PATIENCE, ROOT

RECORD = """
import json
from pyttsx3.engine import Engine
save = Engine.save_to_file
def save_and_record(self, text, *more):
    with open({record!r}, "a") as record:
        record.write(json.dumps(text) + "\\n")
    return save(self, text, *more)
Engine.save_to_file = save_and_record
"""
"""Records each text exactly as the engine gets it."""


FAST = SpeechOptions(rate=450)
PROMPTS = (
    "forward, deep over foam",
    "back",
    "undo forward-backward, off white over deep",
    "row seven is done; take up string four, rust, hanging at the left edge of the band",
    "Stück für Stück: 'ночь' & \"$(x)\"",
)
"""Texts to speak."""


class Process(NamedTuple):
    """A process in the room: `helper`, `player` or `other`, its process id, its parent's, and its state."""

    kind: str
    pid: int
    parent: int
    state: str


class Room:
    """A folder for everything; `env` is added to the environment of a program that speaks in it."""

    def __init__(self, folder: Path, place: str = "temporary") -> None:
        self.player = Player(folder / "player")
        self.place = folder / place
        self.place.mkdir(parents=True)
        self._record = folder / "record"
        self._customs = folder / "customs"
        self._customs.mkdir()
        self.env = {
            "TMPDIR": str(self.place),
            "PATH": self.player.path(),
            "PYTHONPATH": f"{self._customs}{os.pathsep}{ROOT}",
            # A customisation can change faster than the timestamps by which Python recognises stale bytecode.
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        self.customise(RECORD.format(record=str(self._record)))

    def customise(self, program: str) -> None:
        """Sets the program that each Python started in the room runs first."""
        (self._customs / "sitecustomize.py").write_text(program, encoding="utf-8")

    def handed(self) -> list[str]:
        """Every text the engine was given, in order."""
        lines = self._record.read_text().splitlines() if self._record.exists() else []
        return [json.loads(line) for line in lines]

    def heard(self) -> list[Played]:
        """Every sound that was begun, in order."""
        return self.player.played()

    def processes(self) -> list[Process]:
        """Every process in the room, running, stopped, or ended and not yet waited for."""
        mark = f"TMPDIR={self.place}".encode()
        found = []
        for entry in Path("/proc").iterdir():
            # A process may end while it is being looked at.
            with suppress(OSError):
                if entry.name.isdecimal() and mark in (entry / "environ").read_bytes():
                    words = (entry / "cmdline").read_bytes()
                    state, parent = (entry / "stat").read_text().rpartition(")")[2].split()[:2]
                    kind = "helper" if b"speech.helper" in words else "player" if b"player.py" in words else "other"
                    found.append(Process(kind, int(entry.name), int(parent), state))
        return found

    def signal(self, pids: Collection[int], number: int) -> None:
        """Sends a signal to those that still exist; after SIGSTOP, waits until they have stopped."""
        for pid in pids:
            with suppress(ProcessLookupError):
                os.kill(pid, number)
        if number == signal.SIGSTOP:
            until(
                lambda: not any(each.pid in pids and each.state in "RSD" for each in self.processes()),
                "stopped process",
            )

    def left(self) -> list[str]:
        """Every process and file that the voice has left in the room."""
        files = [f"{folder}/{name}" for folder, *names in os.walk(self.place) for name in [*names[0], *names[1]]]
        return [*files, *(f"{process.kind} {process.pid}" for process in self.processes())]

    def wait_until_nothing_is_left(self) -> None:
        """Waits, because killed processes may take a moment to disappear."""
        until(lambda: not self.left(), "empty room", self.left)


def until(condition: Callable[[], object], what: str, why: Callable[[], object] = lambda: "") -> None:
    """Waits for a condition. Raises AssertionError, with the result of `why`, when it takes too long."""
    deadline = time.monotonic() + PATIENCE
    while not condition():
        assert time.monotonic() < deadline, f"no {what} in {PATIENCE:.0f} s {why()}"
        time.sleep(0.004)


def enter(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    """Makes this process speak in the room."""
    for name, value in room.env.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(tempfile, "tempdir", str(room.place))


class Reports(list[str]):
    """What was reported, in order."""


def say(speaker: Speaker, text: str, options: SpeechOptions = FAST, sounds: Sounds | None = None) -> None:
    """Speaks a text to its end, after sounds if there are any."""
    speaker.say(text, options, sounds)
    until(lambda: not speaker.speaking, f"end of {text!r}")


def heard(room: Room) -> list[Rendered]:
    """The sounds that were played to their end."""
    return [Rendered(played.samples, played.checksum) for played in room.heard() if played.end is not None]


def begun(room: Room, number: int) -> bool:
    """True when exactly this many sounds have been begun."""
    return len(room.heard()) == number
