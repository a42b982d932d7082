"""Failing storage: the message names the file and what to do, the exit status is right, and nothing is lost."""

import json
import os
import re
import resource
import shlex
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path

import pytest

from benchmate.piece_opening import Kept
from benchmate.store.migrations import VERSION
from benchmate.store.places import Home
from benchmate.store.safekeeping.copies import copy_files, read_copy
from tests.loaded import run
from tests.running import (
    CHART,
    COMMAND,
    PATIENCE,
    ROOT,
    WITHOUT_OVERRIDE,
    Done,
    Plain,
    bench,
    count,
    environment,
    pieces,
    wait_for_count,
)

NOT_COUNTED = "Not saved, not counted. "


@pytest.fixture
def database(home: Path) -> Path:
    return home / "pieces.db"


@pytest.fixture
def copies(home: Path) -> Path:
    return home / "copies"


@pytest.fixture
def begun(band: Path, home: Path, copies: Path) -> Path:
    """A design with three steps done; there is no copy of the database yet."""
    assert run("follow", band, "--plain", home=home, given="\n\n\n").out.endswith("row 3\n")
    shutil.rmtree(copies)
    return band


def make_copy(home: Path) -> Path:
    """Has the program make the only copy of the database."""
    assert run("follow", "two-ropes", "--plain", home=home, given="q\n").status == 0
    (copy,) = (home / "copies").iterdir()
    return copy


def age(copy: Path) -> Path:
    """Makes a copy one of an earlier day."""
    return copy.rename(copy.with_name("pieces-2026-01-02.db"))


def with_database(file: Path, change: str, query: str = "SELECT 1") -> tuple[str, ...]:
    """Changes the database as another program would; returns a row it had before."""
    connection = sqlite3.connect(file)
    found: tuple[str, ...] = connection.execute(query).fetchone()
    connection.executescript(change)
    connection.close()
    return found


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
    assert said.endswith(TO_START_WITHOUT)


@pytest.mark.parametrize("part", [0.02, 0.3, 0.5, 0.7])
@pytest.mark.parametrize("copied", [True, False])
def test_a_truncated_database(begun: Path, home: Path, database: Path, part: float, copied: bool) -> None:
    if copied:
        make_copy(home)
    os.truncate(database, int(database.stat().st_size * part))
    with unchanged(database):
        said = refused(begun, home)
    assert f"{database} is damaged (" in said
    follow_advice(said, begun, home, copied)


def test_a_log_with_its_middle_missing(begun: Path, home: Path, database: Path) -> None:
    # The zeroed half of a page reads as empty rows.
    connection = sqlite3.connect(database)
    (page,) = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'event'").fetchone()
    connection.close()
    with database.open("r+b") as file:
        file.seek(4096 * page - 2000)
        file.write(bytes(2000))
    with unchanged(database):
        said = refused(begun, home)
    assert f"{database} is damaged (" in said


@pytest.mark.parametrize("copied", [True, False])
def test_damaged_pages(begun: Path, home: Path, database: Path, copied: bool) -> None:
    if copied:
        make_copy(home)
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


TO_START_WITHOUT = (
    "No copy of it can be read here. If you have a file from benchmate keep, benchmate restore takes it back. "
    "To start without it, move pieces.db to another folder, and pieces.db-journal, "
    "pieces.db-wal and pieces.db-shm if they are beside it; keep them, as a repair may be possible."
)


def follow_advice(said: str, design: Path, home: Path, copied: bool) -> None:
    """The advice works."""
    database = home / "pieces.db"
    if copied:
        before = database.read_bytes() if database.exists() else b""
        done = run(*advised(said), home=home, given="yes\n")
        assert done.status == 0
        (aside,) = (home / "copies").glob("aside-*/pieces.db") if before else [None]
        assert aside is None or aside.read_bytes() == before
    else:
        assert said.endswith(TO_START_WITHOUT)
        away = home / "away"
        away.mkdir()
        for file in home.glob("pieces.db*"):
            file.rename(away / file.name)
    done = run("follow", design, "--plain", home=home)
    assert (done.status, done.err) == (0, "")
    assert done.out.startswith("4/12 " if copied else "1/12 ")


def advised(said: str) -> list[str]:
    """The command in a message, without the program's name."""
    (command,) = re.findall(": (benchmate restore .+)", said)
    program, *words = shlex.split(command)
    assert program == "benchmate"
    return words


def test_a_lost_database_is_not_replaced_while_its_copy_exists(begun: Path, home: Path, database: Path) -> None:
    copy = make_copy(home)
    database.unlink()
    for empty in False, True:
        if empty:
            database.touch()
        with unchanged(copy):
            said = refused(begun, home)
        assert f"{database} is missing or empty. Nothing was changed. To get your pieces back as of " in said
    follow_advice(said, begun, home, copied=True)


@pytest.mark.parametrize("copied", [True, False])
@pytest.mark.parametrize(
    "damage",
    [
        "INSERT INTO event VALUES (1, 4, '2026-11-25T07:30:00.000Z', 'tie', 11, 11, 0)",
        "DROP TRIGGER event_is_never_removed; DELETE FROM event WHERE piece = 1 AND number = 2",
        "UPDATE copy SET design = replace(design, 'f b', 'f') WHERE piece = 1",
        "UPDATE copy SET design = 'rows: [' WHERE piece = 1",
        "DELETE FROM copy WHERE piece = 1",
    ],
)
def test_one_piece_that_is_damaged(begun: Path, home: Path, database: Path, damage: str, copied: bool) -> None:
    other = begun.with_name("other.yaml")
    other.write_text(CHART)
    run("follow", other, "--plain", home=home, given="\n")
    if not copied:
        shutil.rmtree(home / "copies")
    (trigger,) = with_database(database, damage, "SELECT sql FROM sqlite_schema WHERE name = 'event_is_never_removed'")
    if damage.startswith("DROP TRIGGER"):
        with_database(database, trigger)
    with unchanged(database):
        done = run("follow", begun, "--plain", home=home, given="\n")
        assert (done.status, done.out) == (3, "")
        assert f"benchmate: Piece 1 in {database} is damaged (" in done.err
        assert "Nothing was changed or deleted." in done.err
        assert f"Piece 1 in {database} is damaged (" in refused_on_screen(begun, home)
    # Other pieces can be continued, and this one is still listed.
    assert run("follow", other, "--plain", home=home, given="\n").out.startswith("2/12 ")
    assert [piece["done"] for piece in pieces(home)] == [2, 3]
    if copied:
        assert " with 3 of 12 steps done: benchmate restore " in done.err
        assert advised(done.err)[2:] == ["--piece", "1"]
        assert run(*advised(done.err), home=home, given="yes\n").status == 0
        assert run("follow", begun, "--plain", home=home).out.startswith("4/12 ")
        assert run("follow", other, "--plain", home=home).out.startswith("3/12 ")
    else:
        assert done.err.endswith("Your other pieces can be used; to begin this one again, add --new to follow.\n")
        assert run("follow", begun, "--plain", "--new", home=home, given="\n").out.startswith("1/12 ")


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
        assert (listed.status, listed.err) == (0, "")
        assert [piece["done"] for piece in json.loads(listed.out)] == ([3] if exists else [])
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

    def run_without_room(*arguments: str) -> Done:
        command = ["/bin/sh", "-c", 'ulimit -f 0; exec "$@"', "sh", *COMMAND, *arguments]
        done = subprocess.run(command, input="\n", capture_output=True, env=environment(home), text=True, check=False)
        return Done(done.returncode, done.stdout, done.stderr)

    done = run_without_room("follow", str(begun), "--plain")
    assert (done.status, done.out) == (3, "")
    assert f"{home / 'pieces.db'} cannot be read or written" in done.err
    assert "Check whether the disk is full or failing" in done.err
    if exists:
        listed = run_without_room("pieces", "--json")
        assert (listed.status, [piece["done"] for piece in json.loads(listed.out)]) == (0, [3])
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
    begun: Path, home: Path, database: Path, copies: Path, fault: str
) -> None:
    make, said = FAULTS[fault]
    with bench(begun, home, columns=200) as terminal:
        wait_for_count(terminal, 3)
        terminal.wait_until(lambda _: bool(list(copies.glob("*.db"))))
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


FAULTY = """
import os
from benchmate.store.pieces import Pieces
log = Pieces._log
def faulty(pieces, *rest):
    if os.path.exists(SIGN):
        pieces._connection.execute("SELECT * FROM nowhere")
    return log(pieces, *rest)
Pieces._log = faulty
"""
"""Python runs this before the program: while a file exists, every press meets a fault."""


def test_a_press_that_meets_a_fault_in_the_program_is_not_counted(begun: Path, home: Path, tmp_path: Path) -> None:
    sign, folder = tmp_path / "sign", tmp_path / "faulty"
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(f"SIGN = {str(sign)!r}\n{FAULTY}")
    with Plain(begun, home, env={"PYTHONPATH": f"{folder}{os.pathsep}{ROOT}"}) as plain:
        plain.line()
        sign.touch()
        plain.say("")
        notice = plain.notice()
        assert notice.startswith(f"{NOT_COUNTED}A fault in benchmate itself, not in your work: OperationalError: ")
        assert notice.endswith(f"Please report it: send {home / 'fault-report.txt'} to whoever gave you benchmate.")
        assert "no such table: nowhere" in (home / "fault-report.txt").read_text()
        # Nothing was moved away, so nothing is lost.
        sign.unlink()
        assert plain.answer("").startswith("5/12 ")
        plain.say("q")
        assert plain.process.wait(PATIENCE) == 0
    assert pieces(home)[0]["done"] == 4


def test_a_press_that_meets_a_damaged_database_is_told_so(begun: Path, home: Path, database: Path) -> None:
    make_copy(home)
    with Plain(begun, home) as plain:
        plain.line()
        with_database(database, "ALTER TABLE event RENAME TO elsewhere")
        plain.say("")
        assert plain.notice() == NOT_COUNTED.strip()
        said = plain.notice()
        assert plain.process.wait(PATIENCE) == 3
    assert f"{database} is damaged (its tables are not as this program makes them)." in said
    assert "A fault in benchmate" not in said
    assert f"Your piece, 3 of 12 steps, is written to {home / 'rescued-1.pieces'}." in said
    assert not (home / "fault-report.txt").exists()


# The copies.


def done_in(copy: Path) -> int:
    connection = sqlite3.connect(copy)
    try:
        return int(connection.execute("SELECT done FROM piece").fetchone()[0])
    finally:
        connection.close()


def copied(copies: Path) -> list[int]:
    """How many steps of the only piece each copy has, oldest first."""
    return [done_in(copy) for copy in sorted(copies.glob("*.db"))]


def test_plain_mode_keeps_a_copy_for_each_day_of_work(begun: Path, home: Path, copies: Path) -> None:
    run("follow", begun, "--plain", home=home, given="\n")
    assert copied(copies) == [4]
    run("follow", begun, "--plain", home=home, given="\n")
    assert copied(copies) == [5]
    age(*copies.iterdir())
    run("follow", begun, "--plain", home=home, given="\n")
    assert copied(copies) == [5, 6]
    assert {file.name for file in home.iterdir()} == {"copies", "open", "pieces.db"}


def test_the_full_screen_keeps_a_copy_for_each_day_of_work(begun: Path, home: Path, copies: Path) -> None:
    def a_press(now: int, *, killed: bool = False) -> None:
        with bench(begun, home) as terminal:
            wait_for_count(terminal, now)
            # Made at the start, of what was done before.
            terminal.wait_until(lambda _: copies.is_dir() and copied(copies)[-1:] == [now])
            terminal.press("space")
            wait_for_count(terminal, now + 1)
            if killed:
                terminal.signal(signal.SIGKILL)
            else:
                terminal.press("q")
            assert terminal.wait(PATIENCE) == (-signal.SIGKILL if killed else 0)

    a_press(3)
    assert copied(copies) == [4]
    a_press(4, killed=True)
    # On a busy machine the copy of the start may come after the press.
    assert copied(copies) in ([4], [5])
    a_press(5)
    assert copied(copies) == [6]
    # The killed window may have left a copy that it had begun.
    age(*copies.glob("*.db"))
    a_press(6)
    assert copied(copies) == [6, 7]
    assert {file.name for file in home.iterdir()} == {"copies", "open", "pieces.db"}


@pytest.fixture
def half_damaged(begun: Path, home: Path, database: Path) -> Path:
    """A design whose piece is intact in a database with another that is not, and a copy from an earlier day."""
    other = begun.with_name("other.yaml")
    other.write_text(CHART)
    run("follow", other, "--plain", home=home, given="\n")
    (copy,) = (home / "copies").iterdir()
    before = age(copy)
    # What was done since has no copy: the window was killed.
    run("follow", other, "--plain", home=home, given="\n")
    for copy in (home / "copies").iterdir():
        if copy != before:
            copy.unlink()
    with_database(database, "UPDATE copy SET design = design || ' ' WHERE piece = 2")
    return begun


def pieces_in_newest(home: Path) -> set[int]:
    """The pieces in the newest copy, which is intact."""
    newest = read_copy(copy_files(Home(home))[0])
    assert newest is not None
    return {piece for piece, _ in newest.pieces}


def test_plain_mode_leaves_a_damaged_piece_out_of_the_copy(half_damaged: Path, home: Path, copies: Path) -> None:
    (copy,) = copies.iterdir()
    with unchanged(copy):
        done = run("follow", half_damaged, "--plain", home=home, given="\n")
    assert done.status == 0
    assert "5/12 " in done.out
    assert "pieces.db is damaged (" in done.err
    assert advised(done.err) == ["restore", str(copy), "--piece", "2"]
    assert pieces_in_newest(home) == {1}


def test_the_full_screen_leaves_a_damaged_piece_out_of_the_copy(half_damaged: Path, home: Path, copies: Path) -> None:
    (copy,) = copies.iterdir()
    with unchanged(copy), bench(half_damaged, home, columns=200) as terminal:
        wait_for_count(terminal, 3)
        terminal.wait_for("pieces.db is damaged (", PATIENCE)
        terminal.press("space")
        wait_for_count(terminal, 4)
        terminal.press("q")
        assert terminal.wait() == 0
    assert pieces_in_newest(home) == {1}


def test_every_write_is_synced_to_disk(kept: Kept) -> None:
    connection = kept.pieces._connection
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    # 3 is EXTRA: https://www.sqlite.org/pragma.html#pragma_synchronous
    assert connection.execute("PRAGMA synchronous").fetchone() == (3,)


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
