"""A player of sounds for tests, put on PATH as `aplay`: it keeps real time and logs what it plays, and makes no sound.

What is played starts when its line `begin` is logged; it was heard to its end when its line `end` follows. A player
that is killed logs nothing: what it played was cut off.
"""

import json
import os
import shlex
import sys
import zlib
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

KINDS = {
    "plays": "plays in real time",
    "no card": "ends at once with what the real one says where there is no sound card",
    "too fast": "ends at once as if all were well, as the real one does with nothing behind it",
    "stuck": "never ends",
    "dies": "is ended by a signal in the middle",
}
"""What a player may be like."""
SCRIPT = """import os, sys, time, zlib
log, kind, file = sys.argv[1], sys.argv[2], sys.argv[-1]
if kind == "no card":
    sys.exit("aplay: main:831: audio open error: No such file or directory")
if kind == "too fast":
    sys.exit(0)
def write(what, *numbers):
    # One call each, to the end of the file: lines of players that run at one time do not mix.
    to = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    os.write(to, f'["{what}", {os.getpid()}, {", ".join(map(repr, numbers))}]\\n'.encode())
    os.close(to)
with open(file, "rb") as stream:
    sound = stream.read()
assert sound[36:40] == b"data" and int.from_bytes(sound[40:44], "little") == len(sound) - 44
rate, samples = int.from_bytes(sound[24:28], "little"), sound[44:]
heard = memoryview(samples).cast("h")
began = time.monotonic()
write("begin", os.getppid(), began, len(heard), len(heard) / rate, zlib.crc32(samples), max(max(heard), -min(heard)))
if kind == "stuck":
    time.sleep(3600)
if kind == "dies":
    time.sleep(len(heard) / rate / 4)
    os.kill(os.getpid(), 9)
time.sleep(max(0.0, began + len(heard) / rate - time.monotonic()))
write("end", time.monotonic())
"""
"""The player. It imports next to nothing, so as to start about as fast as a real one."""


class Played(NamedTuple):
    """One sound: the player's process and the helper's that started it, when it began (by the monotonic clock, in
    seconds), what was in it.

    `end` is None when it was not played to its end.
    """

    pid: int
    helper: int
    began: float
    samples: int
    seconds: float
    checksum: int
    loudest: int
    end: float | None


class Player:
    """A folder to put on PATH, with the player in it, and its log."""

    def __init__(self, folder: Path, kind: str = "plays") -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        self.log = folder / "log"
        self._found: list[Played] = []
        self._read = 0
        self.become(kind)

    def become(self, kind: str) -> None:
        """What it is like from the next sound on; one of KINDS."""
        assert kind in KINDS
        script, fresh = self.folder / "player.py", self.folder / "fresh"
        script.write_text(SCRIPT, encoding="utf-8")
        words = map(shlex.quote, [sys.executable, "-IS", str(script), str(self.log), kind])
        fresh.write_text(f'#!/bin/sh\nexec {" ".join(words)} "$@"\n', encoding="utf-8")
        fresh.chmod(0o755)
        fresh.replace(self.folder / "aplay")

    def path(self) -> str:
        """A value for PATH on which it comes first."""
        return f"{self.folder}{os.pathsep}{os.environ.get('PATH', os.defpath)}"

    def played(self) -> list[Played]:
        """All that was played so far, in order."""
        found = self._found
        with suppress(FileNotFoundError), self.log.open("rb") as log:
            log.seek(self._read)
            fresh = log.read()
            # A line that is just being written is read the next time.
            self._read += fresh.rfind(b"\n") + 1
            for line in fresh[: fresh.rfind(b"\n") + 1].splitlines():
                what: list[Any] = json.loads(line)
                if what[0] == "begin":
                    found.append(Played._make([*what[1:], None]))
                else:
                    last = max(at for at, played in enumerate(found) if played.pid == what[1])
                    found[last] = found[last]._replace(end=what[2])
        return list(found)


def checksum(samples: bytes) -> int:
    """What stands in the log for these samples."""
    return zlib.crc32(samples)
