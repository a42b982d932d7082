"""The database: opening it, refusing what is not ours, and the daily copy."""

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
    APPLICATION_ID,
    VERSION,
    NotSaved,
    StoreError,
    connect,
    explained,
    make_daily_copy,
    utc_date,
    writing,
)


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


def test_a_new_database_is_ours_and_syncs_every_write(connection: sqlite3.Connection) -> None:
    assert value(connection, "PRAGMA application_id") == APPLICATION_ID
    assert value(connection, "PRAGMA user_version") == VERSION
    assert value(connection, "PRAGMA journal_mode") == "wal"
    # 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    assert value(connection, "PRAGMA synchronous") == 2
    assert value(connection, "PRAGMA foreign_keys") == 1
    assert value(connection, "PRAGMA integrity_check") == "ok"


def test_an_existing_database_syncs_every_write_too(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    a_piece(connection)
    again = connect(file, copy)
    assert value(again, "PRAGMA journal_mode") == "wal"
    assert value(again, "PRAGMA synchronous") == 2
    assert value(again, "SELECT count(*) FROM piece") == 1
    again.close()


def test_only_its_owner_can_read_the_folder(file: Path, connection: sqlite3.Connection) -> None:
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
def test_log_entries_cannot_be_changed_or_deleted(connection: sqlite3.Connection, change: str) -> None:
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
def test_invalid_rows_are_refused(connection: sqlite3.Connection, insert: str) -> None:
    a_piece(connection)
    with pytest.raises(sqlite3.IntegrityError):
        connection.execute(insert)


def test_writing_is_all_or_nothing(connection: sqlite3.Connection) -> None:
    def interrupted() -> None:
        with writing(connection):
            a_piece(connection)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert value(connection, "SELECT count(*) FROM piece") == 0
    assert not connection.in_transaction
    with writing(connection):
        a_piece(connection)
    assert value(connection, "SELECT count(*) FROM piece") == 1


def test_opening_reads_version_and_tables_in_one_transaction(
    file: Path, copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Another window tries to create the database between this one's reading of the version and of the tables.
    real, queries = database._scalar, []

    def spy(connection: sqlite3.Connection, query: str) -> object:
        found = real(connection, query)
        queries.append(query)
        if len(queries) == 1:
            other = sqlite3.connect(file, timeout=0, isolation_level=None)
            with pytest.raises(sqlite3.OperationalError, match="locked"):
                other.execute("CREATE TABLE piece (x)")
            other.close()
        return found

    monkeypatch.setattr(database, "_scalar", spy)
    connect(file, copy).close()
    assert len(queries) > 1


def test_a_database_of_another_program_is_refused_and_unchanged(file: Path, copy: Path) -> None:
    file.parent.mkdir()
    foreign = sqlite3.connect(file)
    foreign.execute("CREATE TABLE recipe (name)")
    foreign.close()
    before = file.read_bytes()
    with pytest.raises(StoreError, match=r"pieces\.db belongs to another program\. Nothing was changed\. Move"):
        connect(file, copy)
    assert file.read_bytes() == before
    assert sorted(file.parent.iterdir()) == [file]


def test_no_new_database_is_made_while_there_is_a_copy_of_a_lost_one(file: Path, copy: Path) -> None:
    connection = connect(file, copy)
    a_piece(connection)
    assert make_daily_copy(file, copy, utc_date())
    connection.close()
    for lose in (file.unlink, file.touch):
        lose()
        with pytest.raises(StoreError, match=r"is missing or empty.*copy pieces-copy\.db to pieces\.db\."):
            connect(file, copy)
    file.write_bytes(copy.read_bytes())
    again = connect(file, copy)
    assert value(again, "SELECT count(*) FROM piece") == 1
    again.close()


def test_an_empty_file_without_a_copy_becomes_a_new_database(file: Path, copy: Path) -> None:
    # A program killed in the first moment of its first start leaves one.
    file.parent.mkdir()
    file.touch()
    connect(file, copy).close()
    assert pieces_in(file) == 0


def test_a_full_disk_is_reported(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA max_page_count = 1")

    def fill() -> None:
        with explained(file, copy), writing(connection):
            for _ in range(5000):
                a_piece(connection)

    with pytest.raises(NotSaved, match=r"Disk full\. Nothing was changed\. Free some space, then try again\."):
        fill()
    assert not connection.in_transaction


def test_another_window_writing_is_reported(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    other = connect(file, copy)
    other.execute("BEGIN IMMEDIATE")
    connection.execute("PRAGMA busy_timeout = 0")
    with (
        pytest.raises(NotSaved, match=r"Another window is writing to .*pieces\.db\. Nothing was changed\. Try"),
        explained(file, copy),
    ):
        connection.execute("BEGIN IMMEDIATE")
    other.close()


def test_the_copy_is_made_once_a_day(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    a_piece(connection)
    assert make_daily_copy(file, copy, utc_date())
    assert pieces_in(copy) == 1
    a_piece(connection)
    assert not make_daily_copy(file, copy, utc_date(copy.stat().st_mtime))
    assert pieces_in(copy) == 1
    yesterday = time.time() - 24 * 3600
    os.utime(copy, (yesterday, yesterday))
    assert make_daily_copy(file, copy, utc_date())
    assert pieces_in(copy) == 2
    assert {each.name for each in file.parent.iterdir()} - {"pieces.db-wal", "pieces.db-shm"} == {
        "pieces.db",
        "pieces-copy.db",
    }


def test_the_copy_is_made_while_a_window_writes(file: Path, copy: Path, connection: sqlite3.Connection) -> None:
    a_piece(connection)
    connection.execute("BEGIN IMMEDIATE")
    a_piece(connection)
    assert make_daily_copy(file, copy, utc_date())
    connection.execute("COMMIT")
    assert pieces_in(copy) == 1


def test_a_copy_of_a_damaged_database_is_never_made(file: Path, copy: Path) -> None:
    connection = connect(file, copy)
    for number in range(2000):
        a_piece(connection)
        connection.execute("INSERT INTO copy VALUES (?, 0, 'now', 'text', NULL, NULL, 1)", (number + 1,))
    assert make_daily_copy(file, copy, utc_date())
    connection.close()
    undamaged = copy.read_bytes()
    damaged = bytearray(file.read_bytes())
    for page in range(4, len(damaged) // 4096):
        damaged[page * 4096 : page * 4096 + 8] = b"\xff" * 8
    file.write_bytes(damaged)
    yesterday = time.time() - 24 * 3600
    os.utime(copy, (yesterday, yesterday))
    with pytest.raises(
        StoreError,
        match=r"^.*pieces\.db is damaged \(Page .* An undamaged daily copy is .*-copy\.db: move pieces\.db to .*$",
    ):
        make_daily_copy(file, copy, utc_date())
    assert copy.read_bytes() == undamaged
    assert not list(file.parent.glob("*.new*"))


def test_a_copy_that_fails_is_reported_and_leaves_no_file(
    file: Path, copy: Path, connection: sqlite3.Connection
) -> None:
    a_piece(connection)
    copy.mkdir()
    yesterday = time.time() - 24 * 3600
    os.utime(copy, (yesterday, yesterday))
    with pytest.raises(NotSaved, match=r"The daily copy .*pieces-copy\.db could not be made \(Is a directory\)"):
        make_daily_copy(file, copy, utc_date())
    assert not list(file.parent.glob("*.new*"))


def test_unfinished_copies_of_killed_programs_are_deleted(
    file: Path, copy: Path, connection: sqlite3.Connection
) -> None:
    killed, running = "pieces-copy.db." + "0a" * 8 + ".new", "pieces-copy.db." + "1b" * 8 + ".new"
    old = [file.with_name(killed), file.with_name(killed + "-journal")]
    new = file.with_name(running)
    for each in (*old, new):
        each.write_text("half")
    before = time.time() - STALE_AFTER - 60
    for each in old:
        os.utime(each, (before, before))
    assert make_daily_copy(file, copy, utc_date())
    assert not any(each.exists() for each in old)
    assert new.exists()


def test_two_windows_create_the_database_at_the_same_time(tmp_path: Path) -> None:
    # SQLite itself does not wait to switch to write-ahead logging while another connection is writing.
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
