"""The database: opening it, refusing what is not ours or is damaged, and its copies."""

import os
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from benchmate.craft.ways import Way
from benchmate.files.atomic_write import STALE_AFTER
from benchmate.store import database, errors
from benchmate.store.database import Database, opened_to_read
from benchmate.store.errors import Damaged, Gone, Missing, NotSaved, StoreError
from benchmate.store.inspection import in_memory, version_of
from benchmate.store.log import LogEnd
from benchmate.store.migrations import APPLICATION_ID, VERSION
from benchmate.store.pieces import Pieces
from benchmate.store.places import Home
from benchmate.store.reading import Copy
from benchmate.store.safekeeping.keeping import make_copy

DATA = Path(__file__).parents[1] / "trust" / "data"
COPY = Copy("the design", None, None, 1)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path / "kept")


@pytest.fixture
def file(home: Home) -> Path:
    return home.database


@pytest.fixture
def opened(home: Home) -> Iterator[Database]:
    with closing(Database(home)) as opened:
        yield opened


@pytest.fixture
def connection(opened: Database) -> sqlite3.Connection:
    return opened.connection


@pytest.fixture
def pieces(home: Home) -> Iterator[Pieces]:
    with closing(Pieces(home)) as pieces:
        (home.folder / "open").mkdir()
        yield pieces


def value(connection: sqlite3.Connection, query: str) -> object:
    return connection.execute(query).fetchone()[0]


def a_row(connection: sqlite3.Connection) -> None:
    connection.execute(
        "INSERT INTO piece (title, file, started, touched, done, size, way) VALUES ('T', '/t', 'a', 'b', 0, 5, 'rows')"
    )


def begin(pieces: Pieces, design: str = "the design") -> tuple[int, LogEnd]:
    copy = COPY._replace(design=design)
    return pieces.begin("Rain", "/rain.yaml", Way(), None, 9, copy, "me", None, [("tie", 0, 0)], 1)


def pieces_in(file: Path) -> int:
    with closing(sqlite3.connect(file)) as connection:
        return int(connection.execute("SELECT count(*) FROM piece").fetchone()[0])


def the_copy(home: Home) -> Path:
    (copy,) = home.copies.glob("*.db")
    return copy


def test_a_new_database_is_ours_and_all_in_one_file(file: Path, connection: sqlite3.Connection) -> None:
    assert value(connection, "PRAGMA application_id") == APPLICATION_ID
    assert value(connection, "PRAGMA user_version") == VERSION
    assert value(connection, "PRAGMA journal_mode") == "delete"
    # 3 is EXTRA: https://www.sqlite.org/pragma.html#pragma_synchronous
    assert value(connection, "PRAGMA synchronous") == 3
    assert value(connection, "PRAGMA foreign_keys") == 1
    assert value(connection, "PRAGMA integrity_check") == "ok"
    a_row(connection)
    assert list(file.parent.iterdir()) == [file]


def test_an_existing_database_syncs_every_write_too(home: Home, connection: sqlite3.Connection) -> None:
    a_row(connection)
    with closing(Database(home)) as again:
        assert value(again.connection, "PRAGMA journal_mode") == "delete"
        assert value(again.connection, "PRAGMA synchronous") == 3
        assert value(again.connection, "SELECT count(*) FROM piece") == 1


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
    a_row(connection)
    connection.execute("INSERT INTO event VALUES (1, 1, 'now', 'tie', 0, 0, 5)")
    with pytest.raises(sqlite3.IntegrityError, match="the log is only ever added to"):
        connection.execute(change)
    assert connection.execute("SELECT * FROM event").fetchall() == [(1, 1, "now", "tie", 0, 0, 5)]


@pytest.mark.parametrize(
    "insert",
    [
        "INSERT INTO event VALUES (1, 1, 'now', 'tied', 0, 0, 0)",
        "INSERT INTO event VALUES (1, 1, 'now', 'tie', 'x', 0, 0)",
        "INSERT INTO event VALUES (2, 1, 'now', 'tie', 0, 0, 0)",
        "INSERT INTO copy VALUES (2, 0, 'now', '', NULL, NULL, 1, 0)",
        "UPDATE piece SET done = 6",
        "UPDATE piece SET done = -1",
    ],
)
def test_invalid_rows_are_refused(connection: sqlite3.Connection, insert: str) -> None:
    a_row(connection)
    with pytest.raises(sqlite3.IntegrityError):
        connection.execute(insert)


def test_writing_is_all_or_nothing(opened: Database, connection: sqlite3.Connection) -> None:
    def interrupted() -> None:
        with opened.writing():
            a_row(connection)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert value(connection, "SELECT count(*) FROM piece") == 0
    assert not connection.in_transaction
    with opened.writing():
        a_row(connection)
    assert value(connection, "SELECT count(*) FROM piece") == 1


def test_opening_reads_version_and_tables_in_one_transaction(
    home: Home, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Another window tries to create the database between this one's reading of the version and of the tables.
    tried = []

    def spy(connection: sqlite3.Connection) -> int:
        found = version_of(connection)
        with closing(sqlite3.connect(file, timeout=0, isolation_level=None)) as other:
            with pytest.raises(sqlite3.OperationalError, match="locked"):
                other.execute("CREATE TABLE piece (x)")
            tried.append(found)
        return found

    monkeypatch.setattr(database, "version_of", spy)
    Database(home).close()
    assert tried == [0]


def test_a_database_of_another_program_is_refused_and_unchanged(home: Home, file: Path) -> None:
    file.parent.mkdir()
    foreign = sqlite3.connect(file)
    foreign.execute("CREATE TABLE recipe (name)")
    foreign.close()
    before = file.read_bytes()
    for open_it in Database, opened_to_read:
        with pytest.raises(StoreError, match=r"pieces\.db belongs to another program\. Nothing was changed\. Move"):
            open_it(home)
    assert file.read_bytes() == before
    assert sorted(file.parent.iterdir()) == [file]


def test_a_damaged_database_is_refused_and_unchanged(home: Home, file: Path, pieces: Pieces) -> None:
    for _ in range(40):
        begin(pieces, "a long design " * 50)
    pieces.close()
    damaged = bytearray(file.read_bytes())
    # The first bytes of a page hold its type and its number of entries.
    damaged[8 * 4096 : 8 * 4096 + 8] = b"\xff" * 8
    file.write_bytes(damaged)
    for open_it in Database, opened_to_read:
        with pytest.raises(Damaged, match=r"pieces\.db is damaged \(.*\)\. Nothing was changed or deleted\."):
            open_it(home)
    assert file.read_bytes() == damaged


def test_no_new_database_is_made_while_there_is_a_copy_of_a_lost_one(home: Home, file: Path, pieces: Pieces) -> None:
    begin(pieces)
    copy = make_copy(home)
    pieces.close()
    assert copy is not None
    for lose in (file.unlink, file.touch):
        lose()
        for open_it in Database, opened_to_read:
            with pytest.raises(Missing, match=rf"is missing or empty\. .* benchmate restore {copy}$"):
                open_it(home)
    file.write_bytes(copy.read_bytes())
    with closing(Database(home)) as again:
        assert value(again.connection, "SELECT count(*) FROM piece") == 1


def test_an_empty_file_without_a_copy_becomes_a_new_database(home: Home, file: Path) -> None:
    # A program killed in the first moment of its first start leaves one.
    file.parent.mkdir()
    file.touch()
    assert opened_to_read(home) is None
    Database(home).close()
    assert pieces_in(file) == 0


def test_a_full_disk_is_reported(opened: Database, connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA max_page_count = 1")

    def fill() -> None:
        with opened.writing():
            for _ in range(5000):
                a_row(connection)

    with pytest.raises(NotSaved, match=r"Disk full\. Nothing was changed\. Free some space, then try again\."):
        fill()
    assert not connection.in_transaction


def test_another_window_writing_is_reported(home: Home, opened: Database) -> None:
    opened.connection.execute("PRAGMA busy_timeout = 0")
    with closing(Database(home)) as other:
        other.connection.execute("BEGIN IMMEDIATE")
        with (
            pytest.raises(NotSaved, match=r"Another window is writing to .*pieces\.db\. Nothing was changed\. Try"),
            opened.writing(),
        ):
            pass


def replaced(file: Path) -> None:
    """Another file of the same content takes the place of the database."""
    other = file.with_name("other.db")
    other.write_bytes(file.read_bytes())
    other.replace(file)


@pytest.mark.parametrize("lose", [Path.unlink, replaced, lambda file: file.rename(file.with_name("moved.db"))])
def test_nothing_is_saved_in_a_file_that_is_not_in_its_place(
    file: Path, opened: Database, lose: Callable[[Path], object]
) -> None:
    lose(file)

    def write() -> None:
        with opened.writing():
            a_row(opened.connection)

    with pytest.raises(Gone, match=r"pieces\.db was removed or replaced while"):
        write()
    assert not opened.connection.in_transaction
    assert not file.exists() or pieces_in(file) == 0


def test_a_file_that_is_removed_during_a_write_is_noticed(file: Path, opened: Database) -> None:
    def write() -> None:
        with opened.writing():
            a_row(opened.connection)
            file.unlink()

    with pytest.raises(Gone):
        write()
    assert not file.exists()


# The copies.


def test_a_day_of_work_has_one_copy(home: Home, pieces: Pieces) -> None:
    piece, end = begin(pieces)
    copy = make_copy(home)
    assert copy is not None
    assert copy.name == f"pieces-{pieces.get(piece).touched[:10]}.db"
    assert pieces_in(copy) == 1
    assert make_copy(home) is None
    begin(pieces)
    assert make_copy(home) == copy
    assert pieces_in(copy) == 2
    pieces.add(piece, "me", "/rain.yaml", end, [("tie", 1, 1)], 2)
    assert make_copy(home) == copy
    assert list(home.copies.iterdir()) == [copy]
    assert {each.name for each in home.folder.iterdir()} == {"copies", "open", "pieces.db"}


def test_the_copy_is_made_while_a_window_writes(home: Home, pieces: Pieces) -> None:
    begin(pieces)
    connection = pieces._connection
    connection.execute("BEGIN IMMEDIATE")
    a_row(connection)
    assert make_copy(home) is not None
    connection.execute("COMMIT")
    assert pieces_in(the_copy(home)) == 1


def test_copying_does_not_wait_for_ever_for_a_window_that_stopped_while_it_saved(home: Home, pieces: Pieces) -> None:
    begin(pieces)
    with closing(sqlite3.connect(home.database, isolation_level=None)) as stopped:
        stopped.execute("BEGIN EXCLUSIVE")
        with pytest.raises(NotSaved, match="Another window is writing to"):
            make_copy(home)
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            in_memory(home.database)


def test_a_copy_of_a_damaged_database_is_never_made(home: Home, file: Path, pieces: Pieces) -> None:
    for _ in range(40):
        begin(pieces, "a long design " * 50)
    copy = make_copy(home)
    assert copy is not None
    pieces.close()
    undamaged = copy.read_bytes()
    damaged = bytearray(file.read_bytes())
    for page in range(4, len(damaged) // 4096):
        damaged[page * 4096 : page * 4096 + 8] = b"\xff" * 8
    file.write_bytes(damaged)
    with pytest.raises(
        Damaged, match=rf"^.*pieces\.db is damaged \(.* To get your pieces back as of .*: benchmate restore {copy}$"
    ):
        make_copy(home)
    assert copy.read_bytes() == undamaged
    assert list(home.copies.iterdir()) == [copy]


@pytest.mark.parametrize(
    ("change", "called"),
    [
        ("UPDATE piece SET done = 4", "what is listed"),
        ("UPDATE copy SET design = 'another'", "the design"),
        ("INSERT INTO event VALUES (1, 2, 'now', 'tie', 1, 1, 0)", "the log"),
    ],
)
def test_a_copy_of_rows_that_are_not_what_was_written_is_never_made(
    home: Home, pieces: Pieces, change: str, called: str
) -> None:
    begin(pieces)
    pieces._connection.execute(change)
    with pytest.raises(Damaged, match=rf"Piece 1 in .*pieces\.db is damaged \({called} of piece 1 is not what was"):
        make_copy(home)
    assert not home.copies.exists()


def test_a_copy_that_fails_is_reported_and_leaves_no_file(home: Home, pieces: Pieces) -> None:
    begin(pieces)
    home.copies.touch()
    with pytest.raises(
        NotSaved, match=r"The copy .*/copies/pieces-.*\.db could not be made \(.+\)\. Your pieces are safe"
    ):
        make_copy(home)
    home.copies.unlink()
    assert make_copy(home) is not None
    assert list(home.copies.iterdir()) == [the_copy(home)]


def test_unfinished_copies_of_killed_programs_are_deleted(home: Home, pieces: Pieces) -> None:
    begin(pieces)
    # Killed on the day of the last copy, and on another.
    assert make_copy(home) is not None
    running = home.copies / f"pieces-2026-01-02.db.{'1b' * 8}.new"
    running.write_text("half")
    before = time.time() - STALE_AFTER - 60
    for name in the_copy(home).name, "pieces-2026-01-02.db":
        killed = home.copies / f"{name}.{'0a' * 8}.new"
        killed.write_text("half")
        os.utime(killed, (before, before))
        # Nothing has changed, so that there is nothing to copy.
        assert make_copy(home) is None
        assert not killed.exists()
    assert running.exists()


def test_two_windows_create_the_database_at_the_same_time(home: Home, file: Path) -> None:
    file.parent.mkdir()
    other = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    other.execute("CREATE TABLE half_made (x)")
    leaving = threading.Timer(0.3, other.close)
    leaving.start()
    try:
        with closing(Database(home)) as opened:
            assert value(opened.connection, "PRAGMA user_version") == VERSION
    finally:
        leaving.join()


# The write-ahead log of earlier versions.


@pytest.fixture
def earlier(file: Path) -> Iterator[sqlite3.Connection]:
    """A window of version 2 that has the database open; an entry of a log is in the write-ahead log alone."""
    file.parent.mkdir()
    connection = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.executescript((DATA / "version-2.sql").read_text(encoding="utf-8"))
    yield connection
    connection.close()


def test_the_write_ahead_log_is_taken_into_the_database(home: Home, file: Path, earlier: sqlite3.Connection) -> None:
    (entries,) = earlier.execute("SELECT count(*) FROM event").fetchone()
    # SQLite itself does not wait to switch away from write-ahead logging while another connection is open.
    leaving = threading.Timer(0.3, earlier.close)
    leaving.start()
    try:
        with closing(Database(home)) as opened:
            assert value(opened.connection, "PRAGMA journal_mode") == "delete"
            assert value(opened.connection, "SELECT count(*) FROM event") == entries > 0
    finally:
        leaving.join()
    assert list(file.parent.iterdir()) == [file]


def test_a_window_of_an_earlier_version_is_told(
    home: Home, file: Path, earlier: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "WAIT", 0.1)
    with pytest.raises(NotSaved, match=r"open in a window of an earlier version of benchmate\. Nothing was changed\."):
        Database(home)
    assert value(earlier, "PRAGMA user_version") == 2
    # The pieces can be listed all the same.
    connection = opened_to_read(home)
    assert connection is not None
    with closing(connection):
        assert value(connection, "SELECT count(*) FROM piece") == 2
        assert value(connection, "PRAGMA user_version") == VERSION
    assert value(earlier, "PRAGMA user_version") == 2


@pytest.mark.parametrize("exists", [False, True])
def test_a_database_made_while_its_copies_are_looked_for_is_not_called_missing(
    home: Home, monkeypatch: pytest.MonkeyPatch, exists: bool
) -> None:
    if exists:
        # Another window has made the database, but no piece yet.
        Database(home).close()
    real = errors.empty

    def meanwhile(home: Home) -> Missing | None:
        patched.undo()
        with closing(Pieces(home)) as other:
            begin(other)
        assert make_copy(home) is not None
        return real(home)

    with monkeypatch.context() as patched:
        patched.setattr(errors, "empty", meanwhile)
        patched.setattr(database, "empty", meanwhile)
        with closing(Pieces(home)) as pieces:
            assert len(pieces.all()) == 1
