"""During a search for an order in the background, presses count, kills lose nothing, and signals end the program."""

import random
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from tests.loaded import run
from tests.running import CHART, PATIENCE, bench, count, pieces, press_one_by_one, wait_for_count

LONGEST = CHART.replace("repeats: 4", "repeats: 66000")
"""198,000 knots, nearly the most a design may have: the search takes a second or more."""
LONG = CHART.replace("repeats: 4", "repeats: 20000")
"""60,000 knots: their search takes a third as long, still many times what a key takes."""
KILLS = 4
LATEST = 1.0
"""Seconds after the last press up to which a kill may come: by then such a search has ended on most machines."""


@pytest.fixture
def longest(tmp_path: Path) -> Path:
    file = tmp_path / "longest.yaml"
    file.write_text(LONGEST)
    return file


@pytest.fixture
def long(tmp_path: Path) -> Path:
    file = tmp_path / "long.yaml"
    file.write_text(LONG)
    return file


@contextmanager
def busy(loops: int) -> Iterator[None]:
    """Runs this many busy loops beside the test."""
    with ExitStack() as stack:
        for _ in range(loops):
            process = stack.enter_context(subprocess.Popen([sys.executable, "-c", "while True: pass"]))
            stack.callback(process.kill)
        yield


def test_every_press_counts_during_the_search(longest: Path, home: Path) -> None:
    with bench(longest, home, "--by", "segments") as terminal:
        terminal.wait_for("Looking for the fewest pick-ups", PATIENCE)
        with busy(1):
            press_one_by_one(terminal, "space", done=0, until=4)
            assert pieces(home)[0]["done"] == 4
        terminal.wait_for("Working by segments", PATIENCE)
        terminal.press("q")
        assert terminal.wait() == 0
    # The search ran once: the piece now opens with its plan.
    with bench(longest, home) as terminal:
        terminal.wait_for("THEN", PATIENCE)
        assert not any("Looking" in line for line in terminal.lines)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_ends_the_program_during_the_search(long: Path, home: Path, number: signal.Signals) -> None:
    with bench(long, home, "--by", "segments") as terminal:
        terminal.wait_for("Looking for the fewest pick-ups", PATIENCE)
        terminal.signal(number)
        assert terminal.wait() == 0


def test_kills_during_the_search(long: Path, home: Path) -> None:
    chance = random.Random(3)
    done = 0
    for _ in range(KILLS):
        with bench(long, home, "--by", "segments") as terminal:
            wait_for_count(terminal, done)
            for _ in range(chance.randint(0, 3)):
                terminal.press("space", gap=0.16)
            terminal.pump(chance.uniform(0.0, LATEST))
            assert terminal.kill() == -signal.SIGKILL
            shown = count(terminal)
        found = pieces(home)
        stored = found[0]["done"] if found else 0
        assert shown is not None
        assert done <= shown[0] <= stored <= done + 3
        done = stored
    assert len(pieces(home)) == 1
    left = run("follow", long, "--plain", home=home, given="q\n")
    assert left.status == 0
    assert left.err in ("", "Looking for the order with the fewest pick-ups.\n")
    assert left.out.startswith(f"{done + 1}/60000 ")


def test_the_first_screen_does_not_wait_for_the_search(long: Path, home: Path) -> None:
    with bench(long, home, "--by", "segments") as terminal:
        wait_for_count(terminal, 0)
        terminal.wait_for("Looking for the fewest pick-ups", PATIENCE)
        share = next(line for line in terminal.lines if "pick-ups: " in line).split("pick-ups: ")[1]
        assert int(share.split("%")[0]) < 100
        assert any("NEXT" in line for line in terminal.lines)


@pytest.mark.parametrize("busy_with", ["w", ""])
def test_the_program_ends_with_its_terminal(long: Path, home: Path, busy_with: str) -> None:
    """Whatever the program is doing when its window closes, it does not stay behind and hold the piece."""
    with bench(long, home, "--by", "segments") as terminal:
        terminal.wait_for("Looking for the fewest pick-ups", PATIENCE)
        terminal.press("space")
        wait_for_count(terminal, 1)
        for key in busy_with:
            terminal.press(key)
        terminal.hang_up()
        assert terminal.wait(PATIENCE) == 0
    done = run("follow", long, "--plain", home=home, given="q\n")
    assert (done.status, done.out.split()[0]) == (0, "2/60000")
