"""A room to speak in: a player that is heard by nobody, a place for temporary files, and what goes on in there."""

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

from benchmate.speech.manager import Manner
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
"""Writes down each text just as the engine gets it."""


FAST = Manner(rate=450)
PROMPTS = (
    "forward, deep over foam",
    "back",
    "undo forward-backward, off white over deep",
    "row seven is done; take up string four, rust, hanging at the left edge of the band",
    "Stück für Stück: 'ночь' & \"$(x)\"",
)
"""Things to say, and how fast."""


class Process(NamedTuple):
    """A process of the voice: `helper`, `player`, or whoever uses it; its own and its parent's number, its state."""

    kind: str
    pid: int
    parent: int
    state: str


class Room:
    """A folder that holds all: `env` is laid over the environment of whoever speaks in it."""

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
            # What each Python runs first is changed more often than the time of a file tells.
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        self.customise(RECORD.format(record=str(self._record)))

    def customise(self, program: str) -> None:
        """What each Python runs first that is started in here."""
        (self._customs / "sitecustomize.py").write_text(program, encoding="utf-8")

    def handed(self) -> list[str]:
        """All texts the engine was given, in order."""
        lines = self._record.read_text().splitlines() if self._record.exists() else []
        return [json.loads(line) for line in lines]

    def heard(self) -> list[Played]:
        """All sounds that were begun, in order."""
        return self.player.played()

    def processes(self) -> list[Process]:
        """All that runs in here, stopped or not; the dead that nobody has waited for yet are not told apart."""
        mark = f"TMPDIR={self.place}".encode()
        found = []
        for entry in Path("/proc").iterdir():
            # Processes come and go.
            with suppress(OSError):
                if entry.name.isdecimal() and mark in (entry / "environ").read_bytes():
                    words = (entry / "cmdline").read_bytes()
                    state, parent = (entry / "stat").read_text().rpartition(")")[2].split()[:2]
                    kind = "helper" if b"speech.helper" in words else "player" if b"player.py" in words else "other"
                    found.append(Process(kind, int(entry.name), int(parent), state))
        return found

    def signal(self, pids: Collection[int], number: int) -> None:
        """Sends a signal to those that are still there; when it stops them, waits until they stand still."""
        for pid in pids:
            with suppress(ProcessLookupError):
                os.kill(pid, number)
        if number == signal.SIGSTOP:
            until(lambda: not any(each.pid in pids and each.state in "RSD" for each in self.processes()), "standstill")

    def left(self) -> list[str]:
        """All that is left in here of the voice: processes and files."""
        files = [f"{folder}/{name}" for folder, *names in os.walk(self.place) for name in [*names[0], *names[1]]]
        return [*files, *(f"{process.kind} {process.pid}" for process in self.processes())]

    def wait_until_nothing_is_left(self) -> None:
        """What was killed may be there a moment longer."""
        until(lambda: not self.left(), "end of it all", self.left)


def until(condition: Callable[[], object], what: str, why: Callable[[], object] = lambda: "") -> None:
    """Waits for it. Raises AssertionError when it does not come, with what is asked for then."""
    deadline = time.monotonic() + PATIENCE
    while not condition():
        assert time.monotonic() < deadline, f"no {what} in {PATIENCE:.0f} s {why()}"
        time.sleep(0.004)


def enter(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on this process speaks in the room."""
    for name, value in room.env.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(tempfile, "tempdir", str(room.place))


class Reports(list[str]):
    """What was reported, in order."""


def say(speaker: Speaker, text: str, manner: Manner = FAST) -> None:
    """Says it to the end."""
    speaker.say(text, manner)
    until(lambda: not speaker.speaking, f"end of {text!r}")


def heard(room: Room) -> list[Rendered]:
    """What was played to its end."""
    return [Rendered(played.samples, played.checksum) for played in room.heard() if played.end is not None]


def begun(room: Room, number: int) -> bool:
    """Whether so many sounds have been begun."""
    return len(room.heard()) == number
