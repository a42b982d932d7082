"""Failing storage: the message names the file and what to do, the exit status is right, and nothing is lost."""

import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path

import pytest

from benchmate.piece_opening import Kept
from benchmate.store.database import VERSION
from tests.running import CHART, COMMAND, PATIENCE, Done, Plain, bench, count, environment, pieces, run, wait_for_count

YESTERDAY = 24 * 3600
NOT_COUNTED = "Not saved, not counted. "


@pytest.fixture
def database(home: Path) -> Path:
    return home / "pieces.db"


@pytest.fixture
def copy(home: Path) -> Path:
    return home / "pieces-copy.db"


@pytest.fixture
def begun(band: Path, home: Path, copy: Path) -> Path:
    """A design with three steps done; there is no copy of the database yet."""
    assert run("follow", band, "--plain", home=home, given="\n\n\n").out.endswith("row 3\n")
    copy.unlink()
    return band


def age(file: Path) -> None:
    """Makes a file one day older."""
    moment = time.time() - YESTERDAY
    os.utime(file, (moment, moment))


def with_database(file: Path, change: str) -> None:
    connection = sqlite3.connect(file)
    connection.executescript(change)
    connection.close()


def refused(design: Path, home: Path) -> str:
    """The message when storage cannot be used, the same from every command that needs it; the others still work."""
    messages: list[str] = []
    for command in (["follow", str(design), "--plain"], ["follow", str(design)], ["pieces"], ["pieces", "--json"]):
        done = run(*command, home=home, given="\n")
        assert (done.status, done.out) == (3, "")
        messages.append(done.err.removeprefix("Not in a terminal, so continuing in plain lines.\n"))
    assert len(set(messages)) == 1
    (line,) = messages[0].splitlines()
    assert line.startswith("benchmate: ")
    for command in (["order", str(design)], ["check", str(design)]):
        assert run(*command, home=home).status == 0
    on_screen = refused_on_screen(design, home)
    assert unbroken(on_screen) == unbroken(line)
    return line


def refused_on_screen(design: Path, home: Path) -> str:
    """What the terminal shows when the full screen does not open."""
    with bench(design, home, columns=400) as terminal:
        assert terminal.wait(PATIENCE) == 3
        return terminal.text.strip()


def unbroken(text: str) -> str:
    """The text without spaces and line breaks."""
    return "".join(text.split())


@contextmanager
def unchanged(file: Path) -> Iterator[None]:
    before = file.read_bytes()
    yield
    assert file.read_bytes() == before


# The database cannot be used.


def test_a_newer_version(begun: Path, home: Path, database: Path) -> None:
    with_database(database, "PRAGMA user_version = 99")
    with unchanged(database):
        said = refused(begun, home)
    assert f"{database} was written by a newer version of benchmate (its data is version 99" in said
    assert "Nothing was changed. Use the newer version, or set BENCHMATE_HOME to another folder." in said
    with_database(database, f"PRAGMA user_version = {VERSION}")
    assert pieces(home)[0]["done"] == 3


@pytest.mark.parametrize(
    "make",
    [
        "CREATE TABLE recipe (name)",
        "PRAGMA application_id = 7",
        "PRAGMA user_version = 1",
        "CREATE TABLE piece (piece)",
    ],
)
def test_a_database_of_another_program(band: Path, home: Path, database: Path, make: str) -> None:
    home.mkdir()
    with_database(database, make)
    with unchanged(database):
        said = refused(band, home)
    assert said.endswith(f"{database} belongs to another program. Nothing was changed. Move it away, then start again.")
    database.rename(home / "other.db")
    assert run("follow", band, "--plain", home=home, given="\n").status == 0


@pytest.mark.parametrize("content", [b"not a database", b"\0" * 5000, b"not a database" * 1000, b"SQLite format 3\0"])
def test_a_file_that_is_not_a_database(band: Path, home: Path, database: Path, content: bytes) -> None:
    home.mkdir()
    database.write_bytes(content)
    with unchanged(database):
        said = refused(band, home)
    assert f"{database} is damaged (file is not a database). Nothing was changed or deleted." in said
    assert "To start without it, move it to another folder; keep it, as a repair may be possible." in said


@pytest.mark.parametrize("part", [0.02, 0.3, 0.5, 0.7])
@pytest.mark.parametrize("copied", [True, False])
def test_a_truncated_database(begun: Path, home: Path, database: Path, copy: Path, part: float, copied: bool) -> None:
    if copied:
        shutil.copy(database, copy)
    os.truncate(database, int(database.stat().st_size * part))
    with unchanged(database):
        said = refused(begun, home)
    assert f"{database} is damaged (" in said
    follow_advice(said, begun, home, copied)


def test_a_log_with_its_middle_missing(begun: Path, home: Path, database: Path) -> None:
    # The zeroed half of a page reads as empty, and SQLite does not notice.
    connection = sqlite3.connect(database)
    (page,) = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'event'").fetchone()
    connection.close()
    with database.open("r+b") as file:
        file.seek(4096 * page - 2000)
        file.write(bytes(2000))
    done = run("follow", begun, "--plain", home=home, given="\n")
    assert (done.status, done.out) == (3, "")
    assert "is damaged (the log of piece 1 does not fit its design)" in done.err
    assert "is damaged (" in refused_on_screen(begun, home)
    assert pieces(home)[0]["done"] == 3


@pytest.mark.parametrize("copied", [True, False])
def test_damaged_pages(begun: Path, home: Path, database: Path, copy: Path, copied: bool) -> None:
    if copied:
        shutil.copy(database, copy)
    damaged = bytearray(database.read_bytes())
    for page in range(1, len(damaged) // 4096):
        # A page's first bytes hold its type and its number of entries.
        for at in range(8):
            damaged[page * 4096 + at] ^= 0x5A
    database.write_bytes(damaged)
    with unchanged(database):
        said = refused(begun, home)
    assert f"{database} is damaged (" in said
    follow_advice(said, begun, home, copied)


def follow_advice(said: str, design: Path, home: Path, copied: bool) -> None:
    """The advice works."""
    database, copy = home / "pieces.db", home / "pieces-copy.db"
    if copied:
        assert f"An undamaged daily copy is {copy}: move pieces.db to another folder, with pieces.db-wal and" in said
        assert said.endswith("then copy pieces-copy.db to pieces.db.")
    else:
        assert said.endswith("To start without it, move it to another folder; keep it, as a repair may be possible.")
    away = home / "away"
    away.mkdir()
    for file in home.glob("pieces.db*"):
        file.rename(away / file.name)
    if copied:
        shutil.copy(copy, database)
    done = run("follow", design, "--plain", home=home)
    assert (done.status, done.err) == (0, "")
    assert done.out.startswith("4/12 " if copied else "1/12 ")


def test_a_lost_database_is_not_replaced_while_its_copy_exists(
    begun: Path, home: Path, database: Path, copy: Path
) -> None:
    database.rename(copy)
    for empty in False, True:
        if empty:
            database.touch()
        with unchanged(copy):
            said = refused(begun, home)
        assert f"{database} is missing or empty, but its daily copy {copy} is still there." in said
        assert "To get your pieces back, copy pieces-copy.db to pieces.db." in said
    shutil.copy(copy, database)
    assert pieces(home)[0]["done"] == 3


@pytest.mark.parametrize(
    "damage",
    [
        "INSERT INTO event VALUES (1, 4, '2026-11-25T07:30:00.000Z', 'tie', 11, 11)",
        "DROP TRIGGER event_is_never_removed; DELETE FROM event WHERE number = 2",
        "UPDATE copy SET design = replace(design, 'f b', 'f')",
        "UPDATE copy SET design = 'rows: ['",
        "DELETE FROM copy",
    ],
)
def test_a_log_that_does_not_fit_its_design(begun: Path, home: Path, database: Path, damage: str) -> None:
    with_database(database, damage)
    done = run("follow", begun, "--plain", home=home, given="\n")
    assert (done.status, done.out) == (3, "")
    assert f"benchmate: {database} is damaged (" in done.err
    assert "Nothing was changed or deleted." in done.err
    assert f"{database} is damaged (" in refused_on_screen(begun, home)
    # Other pieces can be continued, and this one is still listed.
    assert pieces(home)[0]["done"] == 3
    assert run("follow", begun, "--plain", "--new", home=home, given="\n").status == 0


# There is nowhere to save.


def test_a_home_below_a_file(band: Path, home: Path) -> None:
    home.write_text("a file")
    inside = home / "deeper"
    for where in home, inside:
        done = run("follow", band, "--plain", home=where, given="\n")
        assert (done.status, done.out) == (3, "")
        assert str(where) in done.err
        assert "Set BENCHMATE_HOME to a folder you can write to." in done.err
        assert run("pieces", home=where).status == 3
        assert "Set BENCHMATE_HOME" in refused_on_screen(band, where)
    assert home.read_text() == "a file"


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


def run_with_permissions(*arguments: str | Path, home: Path) -> Done:
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_OVERRIDE, str(home), *map(str, arguments)],
        input="\n",
        capture_output=True,
        text=True,
        env=environment(home),
        timeout=PATIENCE,
        check=False,
    )
    return Done(done.returncode, done.stdout, done.stderr)


@pytest.mark.parametrize("exists", [True, False])
def test_a_home_that_is_read_only(begun: Path, home: Path, database: Path, exists: bool) -> None:
    if exists:
        database.chmod(0o400)
        (home / "open").chmod(0o500)
    else:
        shutil.rmtree(home)
        home.mkdir()
    home.chmod(0o500)
    try:
        done = run_with_permissions("follow", begun, "--plain", home=home)
        assert (done.status, done.out) == (3, "")
        assert str(home) in done.err
        assert "BENCHMATE_HOME" in done.err
        assert len(done.err.splitlines()) == 1
        listed = run_with_permissions("pieces", "--json", home=home)
        assert (listed.status, listed.out) == ((3, "") if exists else (0, "[]\n"))
    finally:
        home.chmod(0o700)
    if exists:
        database.chmod(0o600)
        (home / "open").chmod(0o700)
        assert pieces(home)[0]["done"] == 3
    else:
        assert not list(home.iterdir())


@pytest.mark.parametrize("exists", [True, False])
def test_a_start_on_a_full_disk(begun: Path, home: Path, exists: bool) -> None:
    if not exists:
        shutil.rmtree(home)
    command = ["/bin/sh", "-c", 'ulimit -f 0; exec "$@"', "sh", *COMMAND, "follow", str(begun), "--plain"]
    done = subprocess.run(command, input=b"\n", capture_output=True, env=environment(home), check=False)
    assert (done.returncode, done.stdout) == (3, b"")
    assert f"{home / 'pieces.db'} cannot be read or written".encode() in done.stderr
    assert b"Check whether the disk is full or failing" in done.stderr
    assert run("follow", begun, "--plain", home=home).out.startswith("4/12 " if exists else "1/12 ")


# Saving fails at a press, and works again later.


@contextmanager
def no_room(process: int) -> Iterator[None]:
    """The operating system lets the program write to no file."""
    soft, hard = resource.prlimit(process, resource.RLIMIT_FSIZE)
    resource.prlimit(process, resource.RLIMIT_FSIZE, (0, hard))
    try:
        yield
    finally:
        with suppress(ProcessLookupError):  # It may have ended.
            resource.prlimit(process, resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def another_writes(database: Path) -> Iterator[None]:
    """Another program keeps the database locked for writing."""
    other = sqlite3.connect(database, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        yield
    finally:
        other.close()


FAULTS: dict[str, tuple[Callable[[int, Path], AbstractContextManager[None]], str]] = {
    "full disk": (lambda process, _: no_room(process), "Check whether the disk is full or failing."),
    "another writes": (
        lambda _, database: another_writes(database),
        "Try again in a moment.",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_an_answer_that_cannot_be_saved_is_not_counted(begun: Path, home: Path, database: Path, fault: str) -> None:
    make, said = FAULTS[fault]
    with Plain(begun, home) as plain:
        assert plain.line().startswith("4/12 ")
        with make(plain.process.pid, database):
            for answer in "", "b":
                plain.say(answer)
                notice = plain.notice()
                assert notice.startswith(NOT_COUNTED)
                assert str(database) in notice
                assert notice.endswith(said)
        assert pieces(home)[0]["done"] == 3
        assert plain.answer("").startswith("5/12 ")
        with make(plain.process.pid, database):
            plain.say("q")
            assert plain.process.wait(PATIENCE) == 0
        assert plain.line() == ""
    assert run("follow", begun, "--plain", home=home).out.startswith("5/12 ")


@pytest.mark.parametrize("fault", FAULTS)
def test_a_first_answer_that_cannot_be_saved_begins_nothing(band: Path, home: Path, database: Path, fault: str) -> None:
    make, said = FAULTS[fault]
    with Plain(band, home) as plain:
        plain.line()
        with make(plain.process.pid, database):
            plain.say("")
            assert plain.notice().endswith(said)
        assert pieces(home) == []
        assert plain.answer("").startswith("2/12 ")
    assert len(pieces(home)) == 1


@pytest.mark.parametrize("fault", FAULTS)
def test_a_press_that_cannot_be_saved_is_not_counted(
    begun: Path, home: Path, database: Path, copy: Path, fault: str
) -> None:
    make, said = FAULTS[fault]
    with bench(begun, home, columns=200) as terminal:
        wait_for_count(terminal, 3)
        terminal.wait_until(lambda _: copy.exists())
        for key, after in ("space", 4), ("backspace", 3):
            before = count(terminal)
            with make(terminal.pid, database):
                terminal.press(key)
                terminal.wait_for("NOT SAVED", PATIENCE)
                # The line breaks at a place that depends on the length of the home's path.
                terminal.wait_until(lambda terminal: unbroken(said) in unbroken(terminal.text))
                assert count(terminal) == before
                assert before == (pieces(home)[0]["done"], 12)
            terminal.pump(0.2)  # Sooner would count as a held key.
            terminal.press(key)
            wait_for_count(terminal, after)
            terminal.wait_until(lambda terminal: "NOT SAVED" not in terminal.text)
        with make(terminal.pid, database):
            terminal.press("q")
            assert terminal.wait(PATIENCE) == 0
    assert run("follow", begun, "--plain", home=home).out.startswith("4/12 ")


def test_a_start_while_another_writes(begun: Path, home: Path, database: Path) -> None:
    with another_writes(database):
        done = run("follow", begun, "--plain", home=home, given="\n")
        assert (done.status, done.out) == (3, "")
        busy = f"Another window is writing to {database}. Nothing was changed. Try again in a moment."
        assert done.err == f"benchmate: {busy}\n"
        assert pieces(home)[0]["done"] == 3
        said = refused_on_screen(begun, home)
        assert unbroken(done.err) in unbroken(said)
    assert run("follow", begun, "--plain", home=home).out.startswith("4/12 ")


def test_a_press_that_meets_a_fault_in_the_program_is_not_counted(
    begun: Path, home: Path, database: Path, copy: Path
) -> None:
    run("follow", begun, "--plain", home=home)
    assert copy.exists()
    with Plain(begun, home) as plain:
        plain.line()
        with_database(database, "ALTER TABLE event RENAME TO elsewhere")
        plain.say("")
        notice = plain.notice()
        assert notice.startswith(f"{NOT_COUNTED}A fault in benchmate itself, not in your work: OperationalError: ")
        assert notice.endswith(f"Please report it: send {home / 'fault-report.txt'} to whoever gave you benchmate.")
        assert "no such table: " in (home / "fault-report.txt").read_text()
        # Nothing was moved away, so nothing is lost.
        with_database(database, "ALTER TABLE elsewhere RENAME TO event")
        assert plain.answer("").startswith("5/12 ")
        plain.say("q")
        assert plain.process.wait(PATIENCE) == 0
    assert pieces(home)[0]["done"] == 4


# The daily copy.


def done_in(file: Path) -> int:
    connection = sqlite3.connect(file)
    try:
        return int(connection.execute("SELECT done FROM piece").fetchone()[0])
    finally:
        connection.close()


def test_plain_mode_makes_a_copy_once_a_day(begun: Path, home: Path, copy: Path) -> None:
    run("follow", begun, "--plain", home=home, given="\n")
    assert done_in(copy) == 4
    run("follow", begun, "--plain", home=home, given="\n")
    assert done_in(copy) == 4
    age(copy)
    run("follow", begun, "--plain", home=home, given="\n")
    assert done_in(copy) == 6
    assert {file.name for file in home.iterdir()} == {"open", "pieces.db", "pieces-copy.db"}


def test_the_full_screen_makes_a_copy_once_a_day(begun: Path, home: Path, copy: Path) -> None:
    def a_press(now: int) -> None:
        with bench(begun, home) as terminal:
            wait_for_count(terminal, now)
            terminal.wait_until(lambda _: copy.exists() and time.time() - copy.stat().st_mtime < YESTERDAY / 2)
            terminal.press("space")
            wait_for_count(terminal, now + 1)
            terminal.press("q")
            assert terminal.wait(PATIENCE) == 0

    a_press(3)
    assert done_in(copy) == 3
    a_press(4)
    assert done_in(copy) == 3
    age(copy)
    a_press(5)
    assert done_in(copy) == 5
    assert {file.name for file in home.iterdir()} == {"open", "pieces.db", "pieces-copy.db"}


@pytest.fixture
def half_damaged(begun: Path, home: Path, database: Path, copy: Path) -> Path:
    """A design whose pages are intact in a damaged database, with an undamaged copy from the day before."""
    other = begun.with_name("other.yaml")
    other.write_text(CHART)
    for _ in range(2):
        run("follow", other, "--plain", home=home, given="\nb\n" * 400 + "q\n")
    age(copy)
    damaged = bytearray(database.read_bytes())
    log = [page for page in range(len(damaged) // 4096) if damaged[page * 4096 :][:4096].count(b"untie") > 20]
    assert len(log) > 3
    # The fourth byte of a page holds its number of entries.
    damaged[log[-1] * 4096 + 3 : log[-1] * 4096 + 5] = b"\xff\xff"
    database.write_bytes(damaged)
    return begun


def test_plain_mode_copies_no_damaged_database(half_damaged: Path, home: Path, copy: Path) -> None:
    with unchanged(copy):
        done = run("follow", half_damaged, "--plain", home=home, given="\n")
    assert done.status == 0
    assert "5/12 " in done.out
    assert "pieces.db is damaged (" in done.err
    assert f"An undamaged daily copy is {copy}" in done.err
    assert not list(home.glob("*.new*"))


def test_the_full_screen_copies_no_damaged_database(half_damaged: Path, home: Path, copy: Path) -> None:
    with unchanged(copy), bench(half_damaged, home, columns=200) as terminal:
        wait_for_count(terminal, 3)
        terminal.wait_for("pieces.db is damaged (", PATIENCE)
        terminal.press("space")
        wait_for_count(terminal, 4)
        terminal.press("q")
        assert terminal.wait() == 0
    assert not list(home.glob("*.new*"))


def test_every_write_is_synced_to_disk(kept: Kept) -> None:
    connection = kept.pieces._connection
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    # 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    assert connection.execute("PRAGMA synchronous").fetchone() == (2,)


# Settings


def test_bad_settings_stop_the_full_screen_but_not_plain_mode(begun: Path, home: Path) -> None:
    settings = home / "settings.yaml"
    settings.write_text("guard: fast\nkeys:\n  dine: x\n")
    with bench(begun, home, columns=200) as terminal:
        assert terminal.wait(PATIENCE) == 1
        terminal.wait_for(f"{settings}:1:8: `guard` must be a whole number from 20 to 2000")
        terminal.wait_for(f"{settings}:3:3: unknown key `dine`; did you mean `done`?")
        assert b"\x1b[?1049h" not in bytes(terminal.raw)
    assert run("follow", begun, "--plain", home=home).status == 0
