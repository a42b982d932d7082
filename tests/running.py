"""Runs the program as a process of its own, as a shell, a script or a person at a terminal does."""

import json
import os
import re
import subprocess
import sys
import threading
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple, Self

from tests.terminal import PATIENCE as PATIENCE
from tests.terminal import Terminal

ROOT = Path(__file__).resolve().parents[1]
COMMAND = (sys.executable, "-m", "benchmate")

CHART = """\
benchmate: 1
title: Rain on slate
family: diagonal
colours: {slate: "#2f4858", rain: {css: "#cfe8ef", say: "pale rain"}}
strings: [slate, rain, rain, slate]
rows:
  - f b
  - f
repeats: 4
"""
"""Four strings, three knots a repeat, 12 knots."""

LONG_CHART = CHART.replace("repeats: 4", "repeats: 8000")
"""24,000 knots: more than any test can tie."""

WRITTEN = """\
benchmate: 1
title: A loop over a pin
family: steps
colours: {slate: "#2f4858"}
steps:
  - do: Fold the strings over a pin
    hint: Leave a loop
  - do: Knot all strings together
    times: 2
"""
"""Three steps."""

LAMPS = """\
benchmate: 1
title: Two lamps
family: alpha
colours: {dusk: navy, lamp: gold}
base: dusk
key: {".": dusk, "o": lamp}
chart: |
  o....o
  ......
"""
"""The float from one lamp to the other passes behind four columns, that where the row has turned behind one."""


WITHOUT_OVERRIDE = """
import ctypes, os, sys
PR_CAPBSET_DROP, CAP_DAC_OVERRIDE = 24, 1
if os.geteuid() == 0:
    assert ctypes.CDLL(None).prctl(PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, 0, 0, 0) == 0
os.execv(sys.executable, [sys.executable, "-c", f'''
import os, sys
assert not os.access({sys.argv[1]!r}, os.W_OK), "permissions mean nothing here"
os.execv(sys.executable, [sys.executable, "-m", "benchmate", *{sys.argv[2:]!r}])
'''])
"""
"""Runs the program so that file permissions apply to it even when the tests run as root."""


class Done(NamedTuple):
    """The exit status and output of a program that has ended."""

    status: int
    out: str
    err: str


def environment(home: Path, more: Mapping[str, str] | None = None) -> dict[str, str]:
    """This process's own environment, for a program that keeps everything in `home`.

    The size of the window is left out: test workers set it, and the program would use it instead of the terminal's.
    """
    left_out = ("PYTHON", "LC_", "XDG_", "COLUMNS", "LINES")
    own = {name: value for name, value in os.environ.items() if not name.startswith(left_out)}
    return {**own, "LANG": "C.UTF-8", "PYTHONPATH": str(ROOT), "BENCHMATE_HOME": str(home), **(more or {})}


def run(
    *arguments: str | Path | bytes,
    home: Path,
    given: str | bytes = "",
    env: Mapping[str, str] | None = None,
    cwd: Path | None = None,
) -> Done:
    """Runs one command line to its end with `given` on standard input."""
    done = subprocess.run(
        [*COMMAND, *arguments],
        input=given.encode() if isinstance(given, str) else given,
        capture_output=True,
        env=environment(home, env),
        cwd=cwd,
        timeout=PATIENCE,
        check=False,
    )
    return Done(done.returncode, done.stdout.decode(), done.stderr.decode())


def pieces(home: Path) -> list[dict[str, Any]]:
    """The document of `pieces --json`."""
    # Imported here: it is built on this module.
    from tests.loaded import run as run_loaded

    done = run_loaded("pieces", "--json", home=home)
    assert (done.status, done.err) == (0, "")
    found = json.loads(done.out)
    assert isinstance(found, list)
    return found


def bench(
    design: Path,
    home: Path,
    *options: str,
    columns: int = 80,
    rows: int = 24,
    raw_limit: int | None = None,
    fresh: bool = False,
) -> Terminal:
    """The full screen on a design, in its own terminal; with `fresh`, in an interpreter that starts for it."""
    # Imported here: it is built on this module.
    from tests.loaded_screen import forked

    command = [*COMMAND, "follow", str(design), *options]
    start = None if fresh else forked
    return Terminal(command, columns=columns, rows=rows, env=environment(home), raw_limit=raw_limit, start=start)


def count(terminal: Terminal) -> tuple[int, int] | None:
    """The `done/of` on the first line of the bench, or None."""
    found = re.search(r" (\d+)/(\d+)  ", terminal.lines[0] + "  ")
    return (int(found[1]), int(found[2])) if found else None


def wait_for_count(terminal: Terminal, done: int) -> None:
    """Waits until the bench shows `done` steps."""

    def shows(terminal: Terminal) -> bool:
        found = count(terminal)
        return found is not None and found[0] == done

    terminal.wait_until(shows, PATIENCE, f"{done} steps done on the first line")


def press_one_by_one(terminal: Terminal, key: str, done: int, until: int, gap: float = 0.16) -> None:
    """Presses a key until `until` steps are done of which `done` are: each press so many seconds after one is shown.

    A bench knows only when it read a key. On a busy machine two keys pressed by the clock alone may reach it at one
    time, and it then takes them for one key held down.
    """
    for next_one in range(done + 1, until + 1):
        terminal.press(key)
        wait_for_count(terminal, next_one)
        terminal.pump(gap)


class Plain:
    """`follow --plain` as a person uses it, an answer for each line. Leaving the context kills the program."""

    def __init__(self, design: Path, home: Path, *options: str, env: Mapping[str, str] | None = None) -> None:
        self.process = subprocess.Popen(
            [*COMMAND, "follow", str(design), "--plain", *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environment(home, env),
        )
        self._hung = threading.Timer(PATIENCE, self.process.kill)
        self._hung.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._hung.cancel()
        self.process.kill()
        self.process.wait()
        for stream in (self.process.stdin, self.process.stdout, self.process.stderr):
            assert stream is not None
            # Text for a program that has ended cannot be sent.
            with suppress(BrokenPipeError):
                stream.close()

    def line(self) -> str:
        """The next line on standard output; empty at the end, also after the program hung and was killed."""
        assert self.process.stdout is not None
        return self.process.stdout.readline().decode().removesuffix("\n")

    def notice(self) -> str:
        """The next line on standard error."""
        assert self.process.stderr is not None
        return self.process.stderr.readline().decode().removesuffix("\n")

    def say(self, text: str) -> None:
        """Types a line."""
        assert self.process.stdin is not None
        self.process.stdin.write(text.encode() + b"\n")
        self.process.stdin.flush()

    def answer(self, text: str) -> str:
        """Types a line; returns the next line of output."""
        self.say(text)
        return self.line()

    def end(self) -> Done:
        """Ends the input; returns the rest of the output."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        assert self.process.stderr is not None
        self.process.stdin.close()
        out, err = self.process.stdout.read(), self.process.stderr.read()
        return Done(self.process.wait(), out.decode(), err.decode())
