"""The full screen compared with the bare app: start to first frame, key to changed frame, memory.

A frame is whole when its changed count (`done/of`) has come and no more output for a moment; its
time is that of its last byte. The rule is the same for both apps.
"""

import random
import shutil
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from statistics import median
from typing import NamedTuple

from tests.measure.pieces import Made
from tests.measure.starting import Scripts, changes_of_environment
from tests.measure.table import Row, p95
from tests.terminal import Terminal

QUIET_FIRST = 0.15
"""Seconds without output after which the first frame is complete."""
QUIET_KEY = 0.05
"""The same for the frame after a key."""
GAP = 0.25
"""Least seconds between two keys of one app; closer ones could count as a held key."""
JITTER = 0.02
TURN = 25
"""After this many keys forward, as many back, so that every piece has enough steps."""
START, P50, P95, MEMORY = 1.5, 3.0, 3.0, 1.6
"""Limits for the bench on a small piece, as multiples of the bare app."""
GROWN = 1.3
"""The limit for a large piece in everything, as a multiple of the small one."""
BARE = "bare app"


class Subject(NamedTuple):
    """An app to measure: its command line, its environment, and its piece."""

    name: str
    argv: Sequence[str]
    env: Mapping[str, str]
    made: Made

    def frame(self, count: int) -> bytes:
        """The text that marks the frame with this count."""
        return f"{count}/{self.made.of}".encode()


class Timed(Terminal):
    """A terminal that records when the last output came."""

    last_byte = 0.0

    def _read(self, timeout: float) -> bool:
        came = super()._read(timeout)
        if came:
            self.last_byte = time.perf_counter()
        return came


class Figures:
    """The samples of one app, times in milliseconds and sizes in MiB."""

    def __init__(self) -> None:
        self.starts: list[float] = []
        self.keys: list[float] = []
        self.peak = 0.0
        self.resident = 0.0


def subjects(scripts: Scripts, made: Mapping[str, Made]) -> list[Subject]:
    """The bare app and the bench on each of the pieces."""
    first = next(iter(made.values()))
    bare = Subject(BARE, scripts.bare(first.done, first.of), changes_of_environment(first.home), first)
    return [bare, *(bench(scripts, name, piece) for name, piece in made.items())]


def bench(scripts: Scripts, name: str, piece: Made) -> Subject:
    """The bench on a piece."""
    return Subject(name, scripts.program("follow", str(piece.design)), changes_of_environment(piece.home), piece)


def measure(apps: Sequence[Subject], columns: int, rows: int, starts: int, keys: int) -> dict[str, Figures]:
    """The figures of every app, each started `starts` times and given `keys` keys, alternately."""
    figures = {app.name: Figures() for app in apps}
    for _ in range(starts):
        for app in apps:
            figures[app.name].starts.append(first_frame(app, columns, rows))
    with ExitStack() as stack:
        terminals = {app.name: stack.enter_context(_start(app, columns, rows)[0]) for app in apps}
        _press_in_turn(apps, terminals, figures, keys)
        for app in apps:
            figures[app.name].peak = memory(terminals[app.name].pid, "VmHWM")
            figures[app.name].resident = memory(terminals[app.name].pid, "VmRSS")
            _leave(terminals[app.name])
    return figures


def first_frame(app: Subject, columns: int, rows: int) -> float:
    """The milliseconds until the app's first frame is complete; then ends the app."""
    terminal, took = _start(app, columns, rows)
    _leave(terminal)
    return took


def _start(app: Subject, columns: int, rows: int) -> tuple[Timed, float]:
    """The app with its first frame shown, and the milliseconds that took.

    At every start, the copy of what is kept is still to be made.
    """
    shutil.rmtree(app.made.home / "copies", ignore_errors=True)
    began = time.perf_counter()
    terminal = Timed(app.argv, columns=columns, rows=rows, env=app.env)
    try:
        _whole_frame(terminal, app.frame(app.made.done), QUIET_FIRST)
    except BaseException:
        terminal.close()
        raise
    return terminal, 1000 * (terminal.last_byte - began)


def _whole_frame(terminal: Timed, sign: bytes, quiet: float) -> None:
    terminal.wait_until(lambda terminal: sign in terminal.raw, 30.0, f"frame with {sign!r}")
    terminal.settle(quiet)


def _press_in_turn(
    apps: Sequence[Subject], terminals: Mapping[str, Timed], figures: Mapping[str, Figures], keys: int
) -> None:
    """Presses `keys` keys in every app, alternately; then, unmeasured, returns each to its start."""
    chance = random.Random(1)
    pressed = dict.fromkeys(terminals, 0.0)
    counts = {app.name: app.made.done for app in apps}

    def press(app: Subject, key: str, by: int) -> float:
        terminal = terminals[app.name]
        terminal.pump(max(0.001, pressed[app.name] + GAP - time.perf_counter()) + chance.uniform(0, JITTER))
        terminal.raw.clear()
        counts[app.name] += by
        pressed[app.name] = time.perf_counter()
        terminal.press(key)
        _whole_frame(terminal, app.frame(counts[app.name]), QUIET_KEY)
        return 1000 * (terminal.last_byte - pressed[app.name])

    for at in range(keys):
        key, by = ("left", -1) if at // TURN % 2 else ("space", 1)
        for app in apps:
            figures[app.name].keys.append(press(app, key, by))
    while counts[apps[0].name] > apps[0].made.done:
        for app in apps:
            press(app, "left", -1)


def _leave(terminal: Timed) -> None:
    """Ends the app normally, so that it leaves nothing behind for the next one."""
    terminal.press("q")
    status = terminal.wait()
    assert status == 0, f"exit status {status}"
    terminal.close()


def memory(pid: int, field: str) -> float:
    """A size of a running program in MiB, by its name in Linux's `/proc/PID/status`."""
    with open(f"/proc/{pid}/status", encoding="ascii") as status:
        line = next(line for line in status if line.startswith(f"{field}:"))
    return int(line.split()[1]) / 1024


def table(figures: Mapping[str, Figures], size: str) -> list[Row]:
    """The rows: the first piece compared with the bare app, every larger one with the first."""
    measures: tuple[tuple[str, str, Callable[[Figures], float], float], ...] = (
        ("start to first frame", "ms", lambda of: median(of.starts), START),
        ("key to frame, p50", "ms", lambda of: median(of.keys), P50),
        ("key to frame, p95", "ms", lambda of: p95(of.keys), P95),
        ("memory at its peak", "MiB", lambda of: of.peak, MEMORY),
        ("memory after the keys", "MiB", lambda of: of.resident, MEMORY),
    )
    bare, small, *large = figures
    rows: list[Row] = []
    for called, unit, of, most in measures:
        part = f"{called}, {size}"
        baseline, first = of(figures[bare]), of(figures[small])
        rows.append(Row(part, f"{small} : {bare}", unit, first, baseline, most))
        rows += [Row(part, f"{name} : {small}", unit, of(figures[name]), first, GROWN) for name in large]
    return rows
