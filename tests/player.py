"""A silent sound player for tests, put on PATH as `aplay`: it takes as long as the sound and logs what it plays.

A sound starts with the log line `begin` and was heard to its end when the line `end` follows. A killed player logs no
`end`: its sound was cut off.
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
    "no card": "ends at once with the real player's error for a missing sound card",
    "too fast": "ends at once and reports success, as the real one does without a device behind it",
    "stuck": "never ends",
    "escapes": "never ends, and leaves the playing to a process without parent in a session of its own",
    "hides": "as `escapes`, and that process has no variables in its environment",
    "dies": "is killed by a signal in the middle",
}
"""The kinds of player."""
SCRIPT = """import os, sys, time, zlib
log, kind, file = sys.argv[1], sys.argv[2], sys.argv[-1]
if kind == "no card":
    sys.exit("aplay: main:831: audio open error: No such file or directory")
if kind == "too fast":
    sys.exit(0)
def write(what, *numbers):
    # One appending write each, so that the lines of simultaneous players do not mix.
    to = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    os.write(to, f'["{what}", {os.getpid()}, {", ".join(map(repr, numbers))}]\\n'.encode())
    os.close(to)
with open(file, "rb") as stream:
    sound = stream.read()
assert sound[36:40] == b"data" and int.from_bytes(sound[40:44], "little") == len(sound) - 44
rate, samples = int.from_bytes(sound[24:28], "little"), sound[44:]
heard = memoryview(samples).cast("h")
began = time.monotonic()
if kind in ("escapes", "hides"):
    helper, inside = os.getppid(), os.pipe()
    if os.fork() == 0:
        os.setsid()
        if os.fork() == 0:
            write("begin", helper, began, len(heard), len(heard) / rate, zlib.crc32(samples), 0)
            os.write(inside[1], b".")
            words = [sys.executable, "-ISc", "import time; time.sleep(3600)"]
            os.execve(sys.executable, words, dict(os.environ) if kind == "escapes" else {})
        os._exit(0)
    os.wait()
    os.read(inside[0], 1)
    time.sleep(3600)
write("begin", os.getppid(), began, len(heard), len(heard) / rate, zlib.crc32(samples), max(max(heard), -min(heard)))
if kind == "stuck":
    time.sleep(3600)
if kind == "dies":
    time.sleep(len(heard) / rate / 4)
    os.kill(os.getpid(), 9)
time.sleep(max(0.0, began + len(heard) / rate - time.monotonic()))
write("end", time.monotonic())
"""
"""The player. It imports almost nothing, to start about as fast as a real one."""


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
    """A folder for PATH with the player and its log."""

    def __init__(self, folder: Path, kind: str = "plays") -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        self.log = folder / "log"
        self._found: list[Played] = []
        self._read = 0
        self.become(kind)

    def become(self, kind: str) -> None:
        """Sets the kind (one of KINDS) for the next sounds."""
        assert kind in KINDS
        script, fresh = self.folder / "player.py", self.folder / "fresh"
        script.write_text(SCRIPT, encoding="utf-8")
        words = map(shlex.quote, [sys.executable, "-IS", str(script), str(self.log), kind])
        fresh.write_text(f'#!/bin/sh\nexec {" ".join(words)} "$@"\n', encoding="utf-8")
        fresh.chmod(0o755)
        fresh.replace(self.folder / "aplay")

    def path(self) -> str:
        """A value for PATH with this folder first."""
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
    """The checksum of these samples as in the log."""
    return zlib.crc32(samples)
