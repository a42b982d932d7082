"""A kill between the answers about what was left keeps nothing of them; after "kept" everything is there."""

import os
import signal
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

from tests.running import CHART
from tests.terminal import Terminal

ALL_DONE = "tell what was left"


def recorded(home: Path) -> list[float]:
    """The lengths of all that was recorded."""
    with closing(sqlite3.connect(home / "pieces.db")) as connection:
        (fine,) = connection.execute("PRAGMA integrity_check").fetchone()
        assert fine == "ok"
        return [mm for (mm,) in connection.execute("SELECT mm FROM seen ORDER BY session, number")]


def to_the_end(terminal: Terminal) -> None:
    """Goes to the end of the piece, at once."""
    terminal.wait_for("0/12")
    terminal.settle(quiet=0.2)
    terminal.press("j", "e", "enter", gap=0.15)
    terminal.wait_for(ALL_DONE)


def killed(terminal: Terminal) -> None:
    """Kills the program without a warning."""
    os.kill(terminal.pid, signal.SIGKILL)
    terminal.wait_until(lambda terminal: not terminal.alive, timeout=10, what="the end")


def test_killed_between_answers_and_after_they_are_kept(tmp_path: Path) -> None:
    design, home = tmp_path / "rain.yaml", tmp_path / "home"
    design.write_text(CHART, encoding="utf-8")
    argv = (sys.executable, "-m", "benchmate", "follow", str(design), "--new")
    env = {"BENCHMATE_HOME": str(home)}
    with Terminal(argv, columns=40, rows=12, env=env) as terminal:
        to_the_end(terminal)
        terminal.press("a", gap=0.15)
        terminal.wait_for("LEFT OVER 1 of")
        terminal.press("1", "7", "enter", gap=0.15)
        terminal.wait_for("LEFT OVER 2 of")
        killed(terminal)
    assert recorded(home) == []
    with Terminal(argv, columns=80, rows=24, env=env) as terminal:
        to_the_end(terminal)
        terminal.press("a", "1", "7", "enter", "1", "6", "enter", "tab", "escape", gap=0.15)
        terminal.wait_for("keep it, for floss")
        assert recorded(home) == []
        terminal.press("home", "enter", gap=0.15)
        terminal.wait_for("Kept.")
        killed(terminal)
    assert len(recorded(home)) == 2
