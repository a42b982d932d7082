"""Has the terminal restored when the bench dies without a chance to do it: by `kill -9`, or a fault of the machine.

No handler can run then, so a small process of its own waits for the bench to end. It holds the reading end of a pipe
whose writing end only the bench has. When that closes and nothing was said, the bench was killed: the process leaves
the alternate screen, switches off what was switched on, and puts the terminal's settings back, unless a shell has
changed them already. Either way it ends.

It is in a session of its own, so that signals of the terminal, job control and signals to the bench's group pass it by.
It has no other file open, so it holds no lock. It exists only while the bench has the terminal, not while the bench is
stopped by ctrl+z.
"""

import subprocess
import sys
import termios
from contextlib import suppress
from pathlib import Path
from typing import Any, Self

PROGRAM = Path(__file__).with_name("restore_terminal.py")
PATIENCE = 1.0
"""Seconds that the process has to end after it was dismissed."""


class Restorer:
    """The process that restores the terminal if this one is killed."""

    @classmethod
    def watching(cls, terminal: int, before: list[Any]) -> Self | None:
        """Starts the process for an open terminal, whose settings were `before`; None when it cannot be started."""
        try:
            now = termios.tcgetattr(terminal)
            return cls(terminal, [*now[:4], *before[:6], *map(_number, before[6])])
        except (termios.error, OSError):
            # The terminal is gone, or the machine has no process to spare. The bench works without one.
            return None

    def __init__(self, terminal: int, numbers: list[int]) -> None:
        self._process = subprocess.Popen(
            # Isolated and without installed packages, it starts in a few milliseconds.
            [sys.executable, "-I", "-S", str(PROGRAM), *map(str, numbers)],
            stdin=subprocess.PIPE,
            stdout=terminal,
            stderr=sys.__stderr__,
            cwd="/",
            start_new_session=True,
            bufsize=0,
        )

    def dismiss(self) -> None:
        """Ends the process, which then leaves the terminal alone."""
        assert self._process.stdin is not None
        with suppress(OSError):
            self._process.stdin.write(b".")
        self._process.stdin.close()
        try:
            self._process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


def _number(character: bytes | int) -> int:
    return character if isinstance(character, int) else character[0]
