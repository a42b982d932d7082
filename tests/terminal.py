"""A real pseudo-terminal with an emulated screen: run a program in it, press keys, read the screen.

The program runs on Linux's own terminal driver and leads a session with this controlling terminal, so job control,
hang-ups, window-size changes and kills are real. Its raw output is kept; the emulated screen is updated only when a
test reads it, so a test that only starts and kills pays nothing for it.

The emulated terminal answers no queries, so a program gets neither mode reports nor in-band resizes.

Output is read only in the waiting methods: wait with `pump`, never `time.sleep`, or a program with much output blocks
on a full buffer.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import pty
import selectors
import signal
import struct
import sys
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple, Protocol, Self

from tests.emulator import Faint, Feed, Screen, is_wide

KEYS: Mapping[str, bytes] = {
    "space": b" ",
    "enter": b"\r",
    "tab": b"\t",
    "escape": b"\x1b",
    "backspace": b"\x7f",
    "left": b"\x1b[D",
    "right": b"\x1b[C",
    "up": b"\x1b[A",
    "down": b"\x1b[B",
    "pageup": b"\x1b[5~",
    "pagedown": b"\x1b[6~",
    "home": b"\x1b[H",
    "end": b"\x1b[F",
    "delete": b"\x1b[3~",
    "f1": b"\x1bOP",
    "ctrl+c": b"\x03",
    "ctrl+z": b"\x1a",
}
"""The bytes of each named key; any other key sends its own character."""

# Not inherited from the environment, because each changes how a program draws.
_NOT_INHERITED = frozenset(
    {"NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE", "COLUMNS", "LINES", "LC_ALL", "LC_CTYPE", "TERM_PROGRAM"}
)
_READ_SIZE = 1 << 16
_POLL = 0.02
PATIENCE = 60.0
"""Seconds after which a program that says nothing counts as hung. Only a test that fails waits as long."""


class Cell(NamedTuple):
    """One character cell of the screen.

    `char` is empty in the right half of a character two cells wide. `fg` and `bg` are `default`, one of the
    sixteen names (`black`, `red`, `green`, `brown`, `blue`, `magenta`, `cyan`, `white`, each also with
    `bright` before it), or six hexadecimal digits.
    """

    char: str
    fg: str
    bg: str
    bold: bool
    dim: bool
    italic: bool
    underline: bool
    strike: bool
    reverse: bool


class Program(Protocol):
    """A program that was started on a terminal."""

    pid: int

    def poll(self) -> int | None:
        """The exit status, or minus the number of the signal that killed it; None while it runs."""

    def wait(self) -> int:
        """Waits for its end; the exit status as `poll` gives it."""


Start = Callable[[Sequence[str], str, Mapping[str, str], Path | None], Program]
"""Starts a program on a terminal device, with an environment, in a folder or where this process is."""


class Started:
    """A child of this process."""

    def __init__(self, pid: int) -> None:
        self.pid = pid

    def poll(self) -> int | None:
        """The exit status, or minus the number of the signal that killed it; None while it runs."""
        pid, status = os.waitpid(self.pid, os.WNOHANG)
        return os.waitstatus_to_exitcode(status) if pid else None

    def wait(self) -> int:
        """Waits for its end; the exit status as `poll` gives it."""
        return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])


class Terminal:
    """A program running in its own terminal.

    Use it as a context manager; leaving it kills the program's process group and reaps the program.
    """

    def __init__(
        self,
        argv: Sequence[str],
        *,
        columns: int = 80,
        rows: int = 24,
        env: Mapping[str, str] | None = None,
        cwd: Path | None = None,
        raw_limit: int | None = None,
        start: Start | None = None,
    ) -> None:
        """Start `argv` in a terminal of `columns` by `rows` character cells.

        The environment is this process's own without `NO_COLOR` and the like, set for a UTF-8 terminal with 24-bit
        colour, and then `env`. `raw_limit` is the most bytes of output kept in `raw` (None keeps all). `start` starts
        the program, in a way that a test has of its own.
        Raises OSError when the program cannot be started; with `cwd`, a shell shows the error and exits with status
        127.
        """
        self.columns, self.rows = columns, rows
        self.raw = bytearray()
        """The raw output: all of it, or the last `raw_limit` bytes."""
        self.bytes_read = 0
        """The number of bytes of output read so far."""
        self._raw_limit = raw_limit
        self._unseen = bytearray()
        self._lines: list[str] | None = None
        self._screen = Screen(columns, rows)
        self._feed = Feed(self._screen)
        self._status: int | None = None
        self._hung_up = False
        self._closed = False

        environment = {name: value for name, value in os.environ.items() if name not in _NOT_INHERITED}
        environment |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8"}
        environment |= env or {}
        self._window_closed = False
        self._master, slave = pty.openpty()
        try:
            fcntl.ioctl(self._master, termios.TIOCSWINSZ, _window_size(columns, rows))
            os.set_blocking(self._master, False)
            self._program = (start or _spawn)(argv, os.ttyname(slave), environment, cwd)
            self.pid = self._program.pid
        except BaseException:
            os.close(self._master)
            raise
        finally:
            os.close(slave)
        self._selector = selectors.DefaultSelector()
        self._selector.register(self._master, selectors.EVENT_READ)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Kill the rest of the program's process group, reap the program and close the terminal.

        May be repeated.
        """
        if self._closed:
            return
        self._closed = True
        self._kill_group()
        if self._status is None:
            self._status = self._program.wait()
        self._close_window()

    def hang_up(self) -> None:
        """Close the window: the program loses its terminal, and the system signals this to it. May be repeated."""
        self._hung_up = True
        self._close_window()

    def _close_window(self) -> None:
        if not self._window_closed:
            self._window_closed = True
            self._selector.close()
            os.close(self._master)

    # Input

    def send(self, text: str | bytes) -> None:
        """Type `text`, as UTF-8. Raises AssertionError when it is not taken in good time."""
        left = memoryview(text.encode() if isinstance(text, str) else text)
        deadline = time.monotonic() + PATIENCE
        while left:
            try:
                left = left[os.write(self._master, left) :]
            except BlockingIOError:
                if time.monotonic() > deadline:
                    raise self._failure(f"{len(left)} bytes typed were not read") from None
                self._read(_POLL)

    def press(self, *names: str, gap: float = 0.0) -> None:
        """Press keys one after another, pumping for `gap` seconds after each.

        A name is one of `KEYS`, or a single character that stands for itself. Raises KeyError for any other.
        """
        for name in names:
            self.send(name if len(name) == 1 else KEYS[name])
            if gap:
                self.pump(gap)

    def resize(self, columns: int, rows: int) -> None:
        """Change the size of the window; the kernel sends SIGWINCH to the foreground process group."""
        self._drain()
        self._catch_up()
        self.columns, self.rows = columns, rows
        self._screen.resize(rows, columns)
        self._lines = None
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, _window_size(columns, rows))

    @property
    def settings(self) -> list[Any]:
        """The settings of the terminal, as `termios` has them."""
        return termios.tcgetattr(self._master)

    @settings.setter
    def settings(self, settings: list[Any]) -> None:
        termios.tcsetattr(self._master, termios.TCSANOW, settings)

    def kill(self) -> int:
        """Kills the program and returns its exit status; the screen then shows the last that the program showed.

        What restores the terminal after a kill would hide that.
        """
        self.signal(signal.SIGKILL)
        status = self.wait()
        self._catch_up()
        if self._screen.left is not None:
            self._screen.buffer, self._screen.left, self._lines = self._screen.left, None, None
        return status

    def signal(self, number: int) -> None:
        """Send a signal to the program. Raises ProcessLookupError once it has ended."""
        if not self.alive:
            raise ProcessLookupError(errno.ESRCH, "the program has ended")
        os.kill(self.pid, number)

    # Waiting

    def pump(self, seconds: float) -> None:
        """Read output for that long."""
        deadline = time.monotonic() + seconds
        while (left := deadline - time.monotonic()) > 0:
            self._read(left)
        self._drain()

    def settle(self, quiet: float = 0.15, timeout: float = PATIENCE) -> None:
        """Read until nothing has come for `quiet` seconds. Raises AssertionError after `timeout` without."""
        deadline = time.monotonic() + timeout
        quiet_from = time.monotonic()
        while time.monotonic() < quiet_from + quiet:
            if self._read(quiet_from + quiet - time.monotonic()):
                quiet_from = time.monotonic()
            if quiet_from > deadline:
                raise self._failure(f"still printing after {timeout} s")

    def wait_for(self, text: str, timeout: float = PATIENCE) -> None:
        """Read until `text` stands on one line of the screen.

        Raises AssertionError, showing the screen and the exit status, after `timeout` seconds or when the program ends
        without it.
        """
        self.wait_until(lambda terminal: any(text in line for line in terminal.lines), timeout, repr(text))

    def wait_until(self, condition: Callable[[Terminal], bool], timeout: float = PATIENCE, what: str = "") -> None:
        """Read until `condition(self)` holds: asked after every burst of output, and every 20 ms.

        Raises AssertionError, naming `what`, as `wait_for` does.
        """
        deadline = time.monotonic() + timeout
        while True:
            ended = not self.alive
            self._drain()
            if condition(self):
                return
            if ended:
                raise self._failure(f"the program ended without {what or 'the condition'}")
            if time.monotonic() > deadline:
                raise self._failure(f"no {what or 'such condition'} within {timeout} s")
            self._read(_POLL)

    def wait(self, timeout: float = PATIENCE) -> int:
        """Wait for the program to end, reading what it prints.

        Gives its exit status, or minus the number of the signal that killed it.

        Raises AssertionError when it still runs after `timeout` seconds.
        """
        deadline = time.monotonic() + timeout
        while self.alive:
            if time.monotonic() > deadline:
                raise self._failure(f"still running after {timeout} s")
            self._read(_POLL)
        self._drain()
        assert self._status is not None
        return self._status

    @property
    def alive(self) -> bool:
        """Whether the program is still running (a stopped one is)."""
        if self._status is None:
            self._status = self._program.poll()
        return self._status is None

    @property
    def exit_code(self) -> int:
        """The exit status; waits for it like `wait` with its default timeout."""
        return self.wait()

    # The screen

    @property
    def lines(self) -> list[str]:
        """The rows of the screen, top to bottom, without trailing spaces."""
        self._catch_up()
        if self._lines is None:
            self._lines = [
                "".join(self._char(row, column) for column in range(self.columns)).rstrip() for row in range(self.rows)
            ]
        return self._lines.copy()

    @property
    def text(self) -> str:
        """The rows of the screen joined by line feeds."""
        return "\n".join(self.lines)

    def cell(self, row: int, column: int) -> Cell:
        """The cell at a row and column, both from 0. Raises IndexError outside the screen."""
        if not (0 <= row < self.rows and 0 <= column < self.columns):
            raise IndexError(f"no cell ({row}, {column}) on {self.columns} by {self.rows}")
        self._catch_up()
        cell = self._screen.buffer[row][column]
        return Cell(
            char=self._char(row, column),
            fg=cell.fg,
            bg=cell.bg,
            bold=cell.bold,
            dim=isinstance(cell, Faint),
            italic=cell.italics,
            underline=cell.underscore,
            strike=cell.strikethrough,
            reverse=cell.reverse,
        )

    def _char(self, row: int, column: int) -> str:
        """What a cell shows; half of a wide character whose other half was overwritten shows a space."""
        cells = self._screen.buffer[row]
        char = cells[column].data
        if not char:
            return "" if column and is_wide(cells[column - 1].data) else " "
        if is_wide(char) and column + 1 < self.columns and cells[column + 1].data:
            return " "
        return char

    # Internals

    def _read(self, timeout: float) -> bool:
        """Read once, waiting at most `timeout` seconds; returns whether anything came."""
        if self._hung_up:
            # No process has the other end open, so only the program's exit is left to wait for, which comes at once.
            time.sleep(min(max(timeout, 0.0), 0.001))
            return False
        if not self._selector.select(max(timeout, 0.0)):
            return False
        try:
            chunk = os.read(self._master, _READ_SIZE)
        except OSError as error:
            if error.errno != errno.EIO:
                raise
            chunk = b""
        if not chunk:
            self._hung_up = True
            return False
        self.bytes_read += len(chunk)
        self._unseen += chunk
        self.raw += chunk
        if self._raw_limit is not None and len(self.raw) > self._raw_limit:
            del self.raw[: -self._raw_limit]
        return True

    def _drain(self) -> None:
        """Read the output that is ready, up to a megabyte, so that endless output does not block a test forever."""
        start = self.bytes_read
        while not self._hung_up and self.bytes_read - start < 1 << 20 and self._read(0.0):
            pass

    def _catch_up(self) -> None:
        """Update the emulated screen with the output read so far."""
        if self._unseen:
            unseen, self._unseen = bytes(self._unseen), bytearray()
            self._feed(unseen)
            self._lines = None

    def _kill_group(self) -> None:
        if self._status is not None:
            # Once reaped, the process id may be reused, but not while its old group still has members. So if a process
            # has it now, our group is gone.
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.pid, 0)
                return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.pid, signal.SIGKILL)

    def _failure(self, message: str) -> AssertionError:
        """An error that shows the whole screen and the exit status."""
        status = "running" if self.alive else f"exit status {self._status}"
        edge = "+" + "-" * self.columns
        shown = [edge, *(f"|{line}" for line in self.lines), edge]
        return AssertionError("\n".join([f"{message} ({status}, {self.bytes_read} bytes read)", *shown]))


def _window_size(columns: int, rows: int) -> bytes:
    return struct.pack("HHHH", rows, columns, 0, 0)


def _spawn(argv: Sequence[str], tty: str, env: Mapping[str, str], cwd: Path | None) -> Program:
    """Start a program on the terminal device `tty` in a session of its own.

    The first terminal a session leader opens becomes its controlling terminal, on Linux. Spawning rather than
    forking is quicker from a large process and safe in one with threads.
    """
    if sys.platform != "linux":
        raise OSError(errno.ENOTSUP, "this terminal needs Linux")
    if cwd is not None:
        argv = ["/bin/sh", "-c", 'cd "$0" && exec "$@"', str(cwd), *argv]
    pid = os.posix_spawnp(
        argv[0],
        list(argv),
        env,
        file_actions=[
            (os.POSIX_SPAWN_OPEN, 0, tty, os.O_RDWR, 0),
            (os.POSIX_SPAWN_DUP2, 0, 1),
            (os.POSIX_SPAWN_DUP2, 0, 2),
        ],
        setsid=True,
        setsigmask=[],
        setsigdef=signal.valid_signals() - {signal.SIGKILL, signal.SIGSTOP},
    )
    return Started(pid)
