"""The database: how it is opened, what it refuses, and the day's copy."""

import os
import sqlite3
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.files.atomic_write import STALE_AFTER
from benchmate.store import database
from benchmate.store.database import (
    APPLICATION,
    VERSION,
    NotSaved,
    StoreError,
    connect,
    explained,
    keep_copy,
    writing,
)

TODAY = time.strftime("%Y-%m-%d", time.gmtime())


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "pieces.db"


@pytest.fixture
def copy(file: Path) -> Path:
    return file.with_name("pieces-copy.db")


@pytest.fixture
def connection(file: Path, copy: Path) -> Iterator[sqlite3.Connection]:
    connection = connect(file, copy)
    yield connection
    connection.close()


def value(connection: sqlite3.Connection, query: str) -> object:
    return connection.execute(query).fetchone()[0]


def a_piece(connection: sqlite3.Connection) -> None:
    connection.execute("INSERT INTO piece VALUES (NULL, 'T', '/t', 'a', 'b', 0, 5, 'rows', NULL, 0, 0, 0)")


def pieces_in(file: Path) -> int:
    connection = sqlite3.connect(file)
    try:
        return int(connection.execute("SELECT count(*) FROM piece").fetchone()[0])
    finally:
        connection.close()


def test_a_new_database_is_ours_and_writes_through_to_the_disk(connection: sqlite3.Connection) -> None:
    assert value(connection, "PRAGMA application_id") == APPLICATION
    assert value(connection, "PRAGMA user_version") == VERSION
    assert value(connection, "PRAGMA journal_mode") == "wal"
    # 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    assert value(connection, "PRAGMA synchronous") == 2
    assert value(connection, "PRAGMA foreign_keys") == 1
    assert value(connection, "PRAGMA integrity_check") == "ok"


def test_opened_again_it_still_writes_through(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    a_piece(connection)
    again = connect(file, copy)
    assert value(again, "PRAGMA journal_mode") == "wal"
    assert value(again, "PRAGMA synchronous") == 2
    assert value(again, "SELECT count(*) FROM piece") == 1
    again.close()


def test_only_its_owner_may_look_into_the_folder(file: Path, connection: sqlite3.Connection) -> None:
    assert file.parent.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE event SET first = 3",
        "UPDATE event SET at = 'x'",
        "DELETE FROM event",
        "DELETE FROM event WHERE number=1",
    ],
)
def test_the_log_is_only_added_to(connection: sqlite3.Connection, change: str) -> None:
    a_piece(connection)
    connection.execute("INSERT INTO event VALUES (1, 1, 'now', 'tie', 0, 0)")
    with pytest.raises(sqlite3.IntegrityError, match="the log is only ever added to"):
        connection.execute(change)
    assert connection.execute("SELECT * FROM event").fetchall() == [(1, 1, "now", "tie", 0, 0)]


@pytest.mark.parametrize(
    "insert",
    [
        "INSERT INTO event VALUES (1, 1, 'now', 'tied', 0, 0)",
        "INSERT INTO event VALUES (1, 1, 'now', 'tie', 'x', 0)",
        "INSERT INTO event VALUES (2, 1, 'now', 'tie', 0, 0)",
        "INSERT INTO copy VALUES (2, 0, 'now', '', NULL, NULL, 1)",
        "UPDATE piece SET done = 6",
        "UPDATE piece SET done = -1",
    ],
)
def test_what_cannot_be_is_refused(connection: sqlite3.Connection, insert: str) -> None:
    a_piece(connection)
    with pytest.raises(sqlite3.IntegrityError):
        connection.execute(insert)


def test_writing_is_all_or_nothing(connection: sqlite3.Connection) -> None:
    def broken_off() -> None:
        with writing(connection):
            a_piece(connection)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        broken_off()
    assert value(connection, "SELECT count(*) FROM piece") == 0
    assert not connection.in_transaction
    with writing(connection):
        a_piece(connection)
    assert value(connection, "SELECT count(*) FROM piece") == 1


def test_what_is_read_at_opening_is_of_one_moment(
    file: Path, copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Another window makes the database between this one's look at the version and its look at the tables.
    real, looks = database._scalar, []

    def looked(connection: sqlite3.Connection, query: str) -> object:
        found = real(connection, query)
        looks.append(query)
        if len(looks) == 1:
            other = sqlite3.connect(file, timeout=0, isolation_level=None)
            with pytest.raises(sqlite3.OperationalError, match="locked"):
                other.execute("CREATE TABLE piece (x)")
            other.close()
        return found

    monkeypatch.setattr(database, "_scalar", looked)
    connect(file, copy).close()
    assert len(looks) > 1


def test_a_foreign_database_is_left_as_it_is(file: Path, copy: Path) -> None:
    file.parent.mkdir()
    foreign = sqlite3.connect(file)
    foreign.execute("CREATE TABLE recipe (name)")
    foreign.close()
    before = file.read_bytes()
    with pytest.raises(StoreError, match=r"pieces\.db is some other program's database; it was left as it is\. Move"):
        connect(file, copy)
    assert file.read_bytes() == before
    assert sorted(file.parent.iterdir()) == [file]


def test_a_database_lost_while_its_copy_is_there_is_not_begun_anew(file: Path, copy: Path) -> None:
    connection = connect(file, copy)
    a_piece(connection)
    assert keep_copy(file, copy, TODAY)
    connection.close()
    for lose in (file.unlink, file.touch):
        lose()
        with pytest.raises(StoreError, match=r"is gone or empty.*Copy that one to the place of pieces\.db"):
            connect(file, copy)
    file.write_bytes(copy.read_bytes())
    again = connect(file, copy)
    assert value(again, "SELECT count(*) FROM piece") == 1
    again.close()


def test_an_empty_file_without_a_copy_is_a_beginning(file: Path, copy: Path) -> None:
    # What a program leaves that is killed in the first moment of its first start.
    file.parent.mkdir()
    file.touch()
    connect(file, copy).close()
    assert pieces_in(file) == 0


def test_a_full_disk_is_said(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA max_page_count = 1")

    def fill() -> None:
        with explained(file, copy), writing(connection):
            for _ in range(5000):
                a_piece(connection)

    with pytest.raises(NotSaved, match=r"The disk is full\. Free some room, then press again\."):
        fill()
    assert not connection.in_transaction


def test_another_window_writing_is_said(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    other = connect(file, copy)
    other.execute("BEGIN IMMEDIATE")
    connection.execute("PRAGMA busy_timeout = 0")
    with pytest.raises(NotSaved, match=r"is being written to by another window\. Try"), explained(file, copy):
        connection.execute("BEGIN IMMEDIATE")
    other.close()


def test_a_copy_once_a_day(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    a_piece(connection)
    assert keep_copy(file, copy, TODAY)
    assert pieces_in(copy) == 1
    a_piece(connection)
    assert not keep_copy(file, copy, TODAY)
    assert pieces_in(copy) == 1
    yesterday = time.time() - 24 * 3600
    os.utime(copy, (yesterday, yesterday))
    assert keep_copy(file, copy, TODAY)
    assert pieces_in(copy) == 2
    assert {each.name for each in file.parent.iterdir()} - {"pieces.db-wal", "pieces.db-shm"} == {
        "pieces.db",
        "pieces-copy.db",
    }


def test_the_copy_is_made_while_a_window_writes(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    a_piece(connection)
    connection.execute("BEGIN IMMEDIATE")
    a_piece(connection)
    assert keep_copy(file, copy, TODAY)
    connection.execute("COMMIT")
    assert pieces_in(copy) == 1


def test_a_copy_of_a_damaged_database_is_never_made(file: Path, copy: Path) -> None:
    connection = connect(file, copy)
    for number in range(2000):
        a_piece(connection)
        connection.execute("INSERT INTO copy VALUES (?, 0, 'now', 'text', NULL, NULL, 1)", (number + 1,))
    assert keep_copy(file, copy, TODAY)
    connection.close()
    sound = copy.read_bytes()
    spoilt = bytearray(file.read_bytes())
    for page in range(4, len(spoilt) // 4096):
        spoilt[page * 4096 : page * 4096 + 8] = b"\xff" * 8
    file.write_bytes(spoilt)
    yesterday = time.time() - 24 * 3600
    os.utime(copy, (yesterday, yesterday))
    with pytest.raises(
        StoreError, match=r"^.*pieces\.db is damaged \(Page .* A sound copy .*-copy\.db: move the dam.*$"
    ):
        keep_copy(file, copy, TODAY)
    assert copy.read_bytes() == sound
    assert not list(file.parent.glob("*.new*"))


def test_a_copy_that_cannot_be_made_is_said_and_leaves_nothing(
    file: Path, copy: Path, connection: sqlite3.Connection
) -> None:
    a_piece(connection)
    copy.mkdir()
    yesterday = time.time() - 24 * 3600
    os.utime(copy, (yesterday, yesterday))
    with pytest.raises(NotSaved, match=r"The daily copy .*pieces-copy\.db could not be made \(Is a directory\)"):
        keep_copy(file, copy, TODAY)
    assert not list(file.parent.glob("*.new*"))


def test_what_a_killed_program_left_of_a_copy_is_cleared(
    file: Path, copy: Path, connection: sqlite3.Connection
) -> None:
    killed, at_work = "pieces-copy.db." + "0a" * 8 + ".new", "pieces-copy.db." + "1b" * 8 + ".new"
    old = [file.with_name(killed), file.with_name(killed + "-journal")]
    new = file.with_name(at_work)
    for each in (*old, new):
        each.write_text("half")
    before = time.time() - STALE_AFTER - 60
    for each in old:
        os.utime(each, (before, before))
    assert keep_copy(file, copy, TODAY)
    assert not any(each.exists() for each in old)
    assert new.exists()


def test_made_by_two_at_once(tmp_path: Path) -> None:
    # SQLite does not wait of its own accord to change to write-ahead logging while another connection writes.
    file = tmp_path / "pieces.db"
    other = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    other.execute("CREATE TABLE half_made (x)")
    leaving = threading.Timer(0.3, other.close)
    leaving.start()
    try:
        connection = connect(file, tmp_path / "pieces-copy.db")
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        connection.close()
    finally:
        leaving.join()
