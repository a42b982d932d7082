"""Killed at any moment, the program loses no step shown as done, and the piece can be continued."""

import os
import random
import re
import signal
import sqlite3
import subprocess
import termios
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from benchmate.files.atomic_write import STALE_AFTER
from benchmate.store.holders import STALE
from benchmate.store.inspection import damages_in_file
from benchmate.store.places import Home
from benchmate.store.reading import pieces_kept
from tests.loaded import run
from tests.running import CHART, COMMAND, PATIENCE, bench, count, environment, wait_for_count

PLAIN_KILLS, SCREEN_KILLS, AT_ONCE = 28, 8, 2
LONG = CHART.replace("repeats: 4", "repeats: 2500")
"""7,500 knots: more than there is time for between all kills."""
KEPT = re.compile(
    r"pieces\.db(-journal)?|open|open/([0-9a-f]{16}\.lock|copying)|copies|"
    r"copies/pieces-\d{4}-\d\d-\d\d\.db(\.[0-9a-f]{16}\.new)?"
)
"""Every file that may exist after any number of kills."""


def stored(home: Path) -> int:
    """How many steps are done of the one piece there is; 0 where none has been begun."""
    found = pieces_kept(Home(home))
    assert len(found) <= 1, "a piece was begun twice"
    return found[0].done if found else 0


def check_sound(design: Path, home: Path, done: int) -> None:
    """Checks that the database is intact, the piece free and at the right step, and no stray file left."""
    connection = sqlite3.connect(home / "pieces.db")
    try:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    finally:
        connection.close()
    assert damages_in_file(home / "pieces.db") == []
    # The first start a day later deletes the files of killed programs.
    for file in home.rglob("*"):
        past = time.time() - max(STALE, STALE_AFTER) - 60
        os.utime(file, (past, past))
    left = run("follow", design, "--plain", home=home, given="q\n")
    assert (left.status, left.err) == (0, "")
    assert left.out.startswith(f"{done + 1}/7500 ")
    days = [copy.name for copy in home.glob("copies/*")]
    assert days
    assert all(re.fullmatch(r"pieces-\d{4}-\d\d-\d\d\.db", day) for day in days), days
    names = {str(file.relative_to(home)) for file in home.rglob("*")}
    assert names == {"open", "open/copying", "pieces.db", "copies", *(f"copies/{day}" for day in days)}
    assert stored(home) == done


def path_of(answers: list[str], done: int) -> list[int]:
    """How many steps are done before the first answer and after each."""
    path = [done]
    for answer in answers:
        path.append(max(0, path[-1] - 1) if answer == "b" else path[-1] + 1)
    return path


def kill_in_plain_mode(design: Path, home: Path, chance: random.Random, done: int) -> tuple[int, int]:
    """Follows a piece fast and is killed; returns the steps done afterwards and how many answers were shown."""
    answers = [chance.choice(["", "", "", "", "b"]) for _ in range(chance.randint(10, 60))]
    path = path_of(answers, done)
    with subprocess.Popen(
        [*COMMAND, "follow", str(design), "--plain"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(home),
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdin.write("".join(answer + "\n" for answer in answers).encode())
        process.stdin.flush()
        output = b""
        if chance.random() < 0.5:
            # Some time after the start, which itself takes about 0.06 s.
            time.sleep(chance.uniform(0.0, 0.18))
        else:
            for _ in range(chance.randint(1, len(answers))):
                output += process.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.002))
        process.kill()
        rest = process.stdout.read()
        errors = process.stderr.read()
    assert errors == b""
    lines = (output + rest).decode().split("\n")[:-1]
    assert [int(line.split("/")[0]) for line in lines] == [done + 1 for done in path[: len(lines)]]
    after = stored(home)
    # Each answer is saved before it is shown, so at most one was saved and not shown.
    shown = max(0, len(lines) - 1)
    assert after in path[shown : shown + 2], f"{lines[-1:]} was shown, {after} are stored"
    return after, shown


def many_kills_in_plain_mode(folder: Path, seed: int) -> int:
    """Kills in plain mode; returns how many came while answers were being shown."""
    chance = random.Random(seed)
    home, design, done, at_work = folder / "home", folder / "band.yaml", 0, 0
    folder.mkdir()
    design.write_text(LONG, encoding="utf-8")
    for _ in range(PLAIN_KILLS // AT_ONCE):
        done, shown = kill_in_plain_mode(design, home, chance, done)
        at_work += shown > 0
        names = {str(file.relative_to(home)) for file in home.rglob("*")} if home.exists() else set()
        assert all(map(KEPT.fullmatch, names)), names
    check_sound(design, home, done)
    return at_work


def test_kills_in_plain_mode(tmp_path: Path) -> None:
    with ThreadPoolExecutor(AT_ONCE) as pool:
        at_work = pool.map(many_kills_in_plain_mode, [tmp_path / str(each) for each in range(AT_ONCE)], range(AT_ONCE))
    # Half of the kills wait for the first answers; on a slow machine the others may all come before them.
    assert sum(at_work) > PLAIN_KILLS // 4


def kill_on_screen(design: Path, home: Path, chance: random.Random, done: int) -> int:
    """Presses a few times on the full screen and is killed; returns the steps done afterwards."""
    presses = chance.randint(0, 5)
    # Without a press, the kill may come while the program starts.
    with bench(design, home, fresh=not presses) as terminal:
        if presses:
            wait_for_count(terminal, done)
            for _ in range(presses - 1):
                terminal.press("space", gap=0.16)
            terminal.press("space")
            terminal.pump(chance.uniform(0.0, 0.1))
        else:
            terminal.pump(chance.uniform(0.0, 0.6))
        assert terminal.kill() == -signal.SIGKILL
        shown = count(terminal)
    after = stored(home)
    assert shown is not None or not presses
    least = done if shown is None else shown[0]
    assert least <= after <= done + presses
    assert shown is None or shown[1] == 7500
    return after


def many_kills_on_screen(folder: Path, seed: int) -> None:
    chance = random.Random(seed)
    design = folder / "band.yaml"
    folder.mkdir()
    design.write_text(LONG, encoding="utf-8")
    # Every fourth kill starts with an empty home.
    for each in range(SCREEN_KILLS // AT_ONCE):
        if each % 4 == 0:
            home, done = folder / f"home{each}", 0
        done = kill_on_screen(design, home, chance, done)
        names = {str(file.relative_to(home)) for file in home.rglob("*")} if home.exists() else set()
        assert all(map(KEPT.fullmatch, names)), names
        if each % 4 == 3:
            check_sound(design, home, done)


def test_kills_on_the_full_screen(tmp_path: Path) -> None:
    with ThreadPoolExecutor(AT_ONCE) as pool:
        list(pool.map(many_kills_on_screen, [tmp_path / str(each) for each in range(AT_ONCE)], range(AT_ONCE)))


def test_kills_at_the_very_first_start(tmp_path: Path, band: Path) -> None:
    # At any moment while the database is being made: the next start finds it or makes one.
    chance = random.Random(5)
    for each in range(25):
        home = tmp_path / f"home{each}"
        with subprocess.Popen(
            [*COMMAND, "follow", str(band), "--plain"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=environment(home),
        ) as process:
            time.sleep(chance.uniform(0.03, 0.09))
            process.kill()
        done = run("follow", band, "--plain", home=home, given="\n")
        assert (done.status, done.err) == (0, "")
        assert done.out.startswith("1/12 ")
        assert stored(home) == 1


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_ended_by_a_signal_the_full_screen_restores_the_terminal(band: Path, home: Path, number: int) -> None:
    with bench(band, home) as terminal:
        wait_for_count(terminal, 0)
        before = bytes(terminal.raw)
        assert before.rindex(b"\x1b[?1049h") > before.find(b"\x1b[?1049l")
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.signal(number)
        assert terminal.wait(PATIENCE) == 0
        raw = bytes(terminal.raw)
        modes = termios.tcgetattr(terminal._master)[3]
    # Out of the alternate screen, the cursor visible, echo and line editing on again.
    assert raw.rindex(b"\x1b[?1049l") > raw.rindex(b"\x1b[?1049h")
    assert raw.rindex(b"\x1b[?25h") > raw.rindex(b"\x1b[?25l")
    assert modes & termios.ECHO
    assert modes & termios.ICANON
    # The lock of the copying stays; nobody holds it.
    assert [file.name for file in (home / "open").iterdir()] == ["copying"]
    assert stored(home) == 1


@pytest.mark.parametrize("end", [lambda process: process.terminate(), lambda process: process.send_signal(1)])
def test_a_signal_ends_plain_mode(band: Path, home: Path, end: Callable[["subprocess.Popen[bytes]"], None]) -> None:
    with subprocess.Popen(
        [*COMMAND, "follow", str(band), "--plain"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=environment(home),
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(b"\n")
        process.stdin.flush()
        assert process.stdout.readline().startswith(b"1/")
        assert process.stdout.readline().startswith(b"2/")
        end(process)
        process.wait(PATIENCE)
    assert run("follow", band, "--plain", home=home).out.startswith("2/12 ")
