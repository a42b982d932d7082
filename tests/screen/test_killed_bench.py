"""A bench that dies without a chance to clean up leaves the terminal as it was, and no process behind."""

import os
import re
import signal
import termios
import time
from pathlib import Path

import pytest

from tests.running import bench, wait_for_count
from tests.screen.benches import CHEVRON, written_to
from tests.screen.test_in_a_terminal import restored, stopped, under_a_shell
from tests.terminal import PATIENCE, Terminal


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A design of 30 knots."""
    return written_to(tmp_path, CHEVRON)


def children(pid: int) -> list[int]:
    """The processes that a process has started, without those that have ended."""
    listed = [each.read_text(encoding="ascii") for each in Path(f"/proc/{pid}/task").glob("*/children")]
    return [int(each) for each in "".join(listed).split() if running(int(each))]


def running(pid: int) -> bool:
    """True until a process has ended; one that nobody waits for stays in the system's table."""
    try:
        return Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False


def restorer_of(terminal: Terminal, pid: int) -> int:
    """The process that waits for the bench to die, once it is there."""
    terminal.wait_until(lambda _: len(children(pid)) == 1, what="a process that restores the terminal")
    (found,) = children(pid)
    terminal.wait_until(lambda _: ignores(found, signal.SIGTTOU), what="its readiness")
    return found


def ignores(pid: int, number: int) -> bool:
    """True when a process ignores a signal."""
    (mask,) = re.findall(r"SigIgn:\t(\w+)", Path(f"/proc/{pid}/status").read_text(encoding="ascii"))
    return bool(int(mask, 16) >> (number - 1) & 1)


def ended(terminal: Terminal, pid: int) -> None:
    """Waits until a process has ended."""
    deadline = time.monotonic() + PATIENCE
    while running(pid):
        assert time.monotonic() < deadline
        terminal.pump(0.01)


@pytest.mark.parametrize("number", ["SIGKILL", "SIGSEGV", "SIGBUS", "SIGABRT", "SIGQUIT", "SIGINT"])
def test_the_terminal_is_as_it_was_after_any_death(file: Path, home: Path, number: str) -> None:
    with bench(file, home) as terminal:
        before = terminal.settings
        wait_for_count(terminal, 0)
        restorer = restorer_of(terminal, terminal.pid)
        assert terminal.settings != before
        terminal.signal(signal.Signals[number])
        asked = number in ("SIGQUIT", "SIGINT")
        assert terminal.exit_code == (0 if asked else -signal.Signals[number])
        ended(terminal, restorer)
        terminal.settle()
        assert restored(bytes(terminal.raw))
        assert terminal.settings == before
        assert "q leave" not in terminal.text
        # What the keyboard sends is in its older form again, once for each time it was changed.
        assert terminal.raw.count(b"\x1b[<u") == terminal.raw.count(b"\x1b[>25u") == 1


def test_signals_to_the_restorer_do_not_end_it_before_the_bench(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        before = terminal.settings
        wait_for_count(terminal, 0)
        restorer = restorer_of(terminal, terminal.pid)
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT, signal.SIGTSTP):
            os.kill(restorer, number)
        terminal.pump(0.1)
        assert running(restorer)
        assert os.getsid(restorer) == restorer
        held = {os.readlink(each) for each in Path(f"/proc/{restorer}/fd").iterdir()}
        assert not [name for name in held if str(home) in name]
        os.killpg(terminal.pid, signal.SIGKILL)
        terminal.wait()
        ended(terminal, restorer)
        terminal.settle()
        assert restored(bytes(terminal.raw))
        assert terminal.settings == before


def test_a_bench_without_its_restorer_works_on(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        os.kill(restorer_of(terminal, terminal.pid), signal.SIGKILL)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.press("q")
        assert terminal.exit_code == 0
        assert restored(bytes(terminal.raw))


def test_job_control_and_the_restorer(file: Path, home: Path) -> None:
    with under_a_shell(file, home) as (terminal, pid):
        first = restorer_of(terminal, pid)
        terminal.press("ctrl+z")
        terminal.wait_for("Stopped")
        # The shell has the terminal; nobody may restore it now.
        ended(terminal, first)
        assert stopped(pid)
        assert children(pid) == []
        terminal.send("fg\r")
        wait_for_count(terminal, 1)
        second = restorer_of(terminal, pid)
        assert second != first
        os.kill(pid, signal.SIGKILL)
        # What the shell says about it may still have gone to the screen of the bench.
        ended(terminal, second)
        terminal.wait_until(lambda terminal: b"Killed" in terminal.raw, what="word from the shell")
        terminal.settle()
        at_prompt = terminal.settings
        assert not at_prompt[3] & termios.ICANON
        terminal.send("stty -a | tr -s ' ;' '\\n' | grep -x -e echo -e icanon -e isig | tr '\\n' ' '\r")
        terminal.wait_for("isig icanon echo")
        terminal.settle()
        assert terminal.settings == at_prompt
        assert restored(bytes(terminal.raw).replace(b"\x1b[?2004h", b""))


def test_killed_while_the_shell_has_the_terminal(file: Path, home: Path) -> None:
    with under_a_shell(file, home) as (terminal, pid):
        restorer_of(terminal, pid)
        terminal.press("ctrl+z")
        terminal.wait_for("Stopped")
        terminal.settle()
        written, settings = terminal.raw.count(b"\x1b[<u"), terminal.settings
        terminal.send("kill -9 %1\r")
        terminal.wait_until(lambda _: not running(pid), what="its end")
        terminal.settle(0.3)
        assert terminal.raw.count(b"\x1b[<u") == written
        assert terminal.settings == settings


def test_a_shell_that_is_back_already_keeps_its_settings(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        restorer = restorer_of(terminal, terminal.pid)
        own = terminal.settings
        own[3] |= termios.ECHO
        terminal.settings = own
        terminal.signal(signal.SIGKILL)
        terminal.wait()
        ended(terminal, restorer)
        terminal.settle()
        assert terminal.settings == own
        assert restored(bytes(terminal.raw))
