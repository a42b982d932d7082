"""The message for each error of the database: the right one, with the right advice."""

import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from benchmate import help as help_pages
from benchmate.store import inspection
from benchmate.store.checksum import COVERED
from benchmate.store.database import Database
from benchmate.store.errors import NO_COPY, Damaged, NotSaved, StoreError, damaged, explained
from benchmate.store.inspection import Damage
from benchmate.store.migrations import VERSION, expected_schema
from benchmate.store.pieces import Pieces
from benchmate.store.places import Home
from benchmate.store.safekeeping.keeping import make_copy
from tests.unit.test_store_database import begin

PAGES = Path(help_pages.__file__).with_name("pages")

DAMAGED = "is damaged ("
OTHER_WINDOW = "Nothing was changed. Try again in a moment."
DISK_FULL = "Disk full. Nothing was changed. Free some space, then try again."
NOT_WRITABLE = "cannot be written to ("
DISK = "Nothing was changed. Check whether the disk is full or failing."
MEMORY = "Not enough memory"
FAULT = "A fault in benchmate itself, not in your work: "

MESSAGES = {
    "SQLITE_ERROR": FAULT,
    "SQLITE_INTERNAL": FAULT,
    "SQLITE_PERM": NOT_WRITABLE,
    "SQLITE_ABORT": FAULT,
    "SQLITE_BUSY": OTHER_WINDOW,
    # A conflict within one connection; windows share none.
    "SQLITE_LOCKED": FAULT,
    "SQLITE_NOMEM": MEMORY,
    "SQLITE_READONLY": NOT_WRITABLE,
    "SQLITE_INTERRUPT": FAULT,
    "SQLITE_IOERR": DISK,
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_NOTFOUND": FAULT,
    "SQLITE_FULL": DISK_FULL,
    "SQLITE_CANTOPEN": NOT_WRITABLE,
    "SQLITE_PROTOCOL": OTHER_WINDOW,
    "SQLITE_EMPTY": FAULT,
    "SQLITE_SCHEMA": OTHER_WINDOW,
    "SQLITE_TOOBIG": FAULT,
    "SQLITE_CONSTRAINT": FAULT,
    "SQLITE_MISMATCH": FAULT,
    "SQLITE_MISUSE": FAULT,
    "SQLITE_NOLFS": NOT_WRITABLE,
    "SQLITE_AUTH": FAULT,
    "SQLITE_FORMAT": FAULT,
    "SQLITE_RANGE": FAULT,
    "SQLITE_NOTADB": DAMAGED,
    "SQLITE_NOTICE": FAULT,
    "SQLITE_WARNING": FAULT,
}
"""The message for each primary error code: https://www.sqlite.org/rescode.html#primary_result_code_list"""
EXTENDED = {
    name: code
    for name in dir(sqlite3)
    # Later Pythons also have the numbers of settings.
    if name.startswith("SQLITE_") and not name.startswith(("SQLITE_OK", "SQLITE_DBCONFIG"))
    if (code := getattr(sqlite3, name)) > 0xFF
}
EXCEPTIONS = {"SQLITE_IOERR_NOMEM": MEMORY}
"""Extended codes with another message than the primary codes they extend."""


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path / "kept")


@pytest.fixture
def intact(home: Home) -> Home:
    """A home with a database that has a piece."""
    home.folder.mkdir()
    home.holders.mkdir()
    with closing(Pieces(home)) as pieces:
        begin(pieces)
    return home


def message_of(home: Home, error: BaseException) -> StoreError:
    """The StoreError that an error becomes."""
    with pytest.raises(StoreError) as caught, explained(home):
        raise error
    assert caught.value.__cause__ is error
    return caught.value


def changed(home: Home, script: str) -> None:
    """Something changes the database that is not this program."""
    with closing(sqlite3.connect(home.database)) as connection:
        connection.executescript(script)


def failure(code: int, kind: type[sqlite3.Error] = sqlite3.OperationalError) -> sqlite3.Error:
    """An error as SQLite raises it."""
    error = kind("as SQLite says it")
    error.sqlite_errorcode = code
    return error


def test_the_table_has_every_code() -> None:
    primary = {getattr(sqlite3, name): name for name in MESSAGES}
    assert sorted(primary) == list(range(1, 29))
    assert {code & 0xFF for code in EXTENDED.values()} <= set(primary)
    assert len(EXTENDED) > 60


@pytest.mark.parametrize("kind", [sqlite3.OperationalError, sqlite3.DatabaseError, sqlite3.Error])
@pytest.mark.parametrize("name", MESSAGES)
def test_each_code_has_its_own_message(intact: Home, name: str, kind: type[sqlite3.Error]) -> None:
    error = message_of(intact, failure(getattr(sqlite3, name), kind))
    found = {message for message in set(MESSAGES.values()) if message in str(error)}
    assert found == {MESSAGES[name]}
    assert intact.fault_report.exists() == (MESSAGES[name] == FAULT)
    assert ("move" in str(error)) == isinstance(error, Damaged) == (name in ("SQLITE_CORRUPT", "SQLITE_NOTADB"))
    assert len(str(error).splitlines()) == 1


@pytest.mark.parametrize("name", EXTENDED)
def test_an_extended_code_has_the_message_of_its_primary_code(intact: Home, name: str) -> None:
    primary = {getattr(sqlite3, each): each for each in MESSAGES}[EXTENDED[name] & 0xFF]
    assert EXCEPTIONS.get(name, MESSAGES[primary]) in str(message_of(intact, failure(EXTENDED[name])))


@pytest.mark.parametrize("message", [OTHER_WINDOW, DISK_FULL, NOT_WRITABLE, DISK, MEMORY])
def test_passing_errors_concern_one_press_only(home: Home, message: str) -> None:
    name = next(name for name, each in MESSAGES.items() if each == message)
    assert isinstance(message_of(home, failure(getattr(sqlite3, name))), NotSaved)


# Errors as SQLite and Python really raise them.


def closed(_: sqlite3.Connection) -> object:
    connection = sqlite3.connect(":memory:")
    connection.close()
    return connection.execute("SELECT 1")


FAULTS: dict[str, Callable[[sqlite3.Connection], object]] = {
    "no such table": lambda connection: connection.execute("SELECT * FROM nowhere"),
    "no statement": lambda connection: connection.execute("SELEKT 1"),
    "a closed database": closed,
    "too few values": lambda connection: connection.execute("SELECT ?"),
    "a value of an unknown type": lambda connection: connection.execute("SELECT ?", (object(),)),
    "a number that is too large": lambda connection: connection.execute("SELECT ?", (1 << 80,)),
    "a broken foreign key": lambda connection: connection.execute("INSERT INTO plan VALUES (7, x'00', 0)"),
    "a value of the wrong type": lambda connection: connection.execute("INSERT INTO plan VALUES ('x', x'00', 0)"),
    "a text that is not Unicode": lambda connection: connection.execute("SELECT ?", ("\ud800",)),
    "two statements": lambda connection: connection.execute("SELECT 1; SELECT 2"),
    "a row that is not there": lambda connection: connection.execute("SELECT 1 WHERE 0").fetchone()[0],
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_the_program_is_called_one_and_its_advice_loses_nothing(intact: Home, fault: str) -> None:
    with closing(Database(intact)) as opened:
        before = intact.database.read_bytes()
        for copied in (False, True):
            if copied:
                assert make_copy(intact) is not None
            with pytest.raises(StoreError) as caught, explained(intact):
                FAULTS[fault](opened.connection)
            message = str(caught.value)
            assert message.startswith(FAULT)
            assert "Nothing is lost; everything saved before is safe." in message
            assert message.endswith(f"Please report it: send {intact.fault_report} to whoever gave you benchmate.")
            assert not any(word in message for word in ("damaged", "move", "restore"))
    assert intact.database.read_bytes() == before


UNNOTICED = {
    "a table renamed": ("ALTER TABLE event RENAME TO elsewhere", None),
    "a trigger removed": ("DROP TRIGGER event_is_never_removed", None),
    "a value changed": ("UPDATE copy SET repeats = 7", 1),
    "a row added": ("INSERT INTO event VALUES (1, 2, 'now', 'tie', 1, 1, 0)", 1),
    "a piece removed": ("DELETE FROM piece", None),
}
"""Damage that SQLite does not notice, and the piece where only that is damaged."""


@pytest.mark.parametrize("copied", [True, False])
@pytest.mark.parametrize("damage", UNNOTICED)
def test_what_would_be_a_fault_in_an_intact_database_is_damage_in_another(
    intact: Home, damage: str, copied: bool
) -> None:
    if copied:
        copy = make_copy(intact)
    script, piece = UNNOTICED[damage]
    changed(intact, script)
    for error in failure(sqlite3.SQLITE_ERROR), ValueError("no such thing"), sqlite3.Warning("two of them"):
        message = str(message_of(intact, error))
        assert isinstance(message_of(intact, error), Damaged)
        assert message.startswith(
            f"{intact.database} is damaged (" if piece is None else f"Piece 1 in {intact.database} is damaged ("
        )
        assert FAULT not in message
        if copied:
            only = "" if piece is None else " --piece 1"
            assert message.endswith(f": benchmate restore {copy}{only}")
        elif piece is None:
            assert f"{NO_COPY} To start without it, move pieces.db to another folder" in message
        else:
            assert message.endswith(
                f"{NO_COPY} Your other pieces can be used; to begin this one again, add --new to follow."
            )
    assert not intact.fault_report.exists()


def test_a_copy_that_cannot_be_read_is_not_advised(intact: Home) -> None:
    old, new = intact.copies / "pieces-2026-01-01.db", make_copy(intact)
    assert new is not None
    new.rename(old)
    for name in "pieces-2026-01-02.db", "pieces-2026-01-02-2.db":
        (intact.copies / name).write_bytes(old.read_bytes()[:5000])
    (intact.copies / "notes.txt").write_text("more")
    message = str(damaged(intact, Damage("why")))
    assert (
        f"{intact.database} is damaged (why). Nothing was changed or deleted. To get your pieces back as of" in message
    )
    assert message.endswith(f": benchmate restore {old}")


def test_a_piece_that_no_copy_has_is_not_promised(intact: Home) -> None:
    copy = make_copy(intact)
    of_one, of_two = (str(damaged(intact, Damage("why", piece))) for piece in (1, 2))
    assert of_one.endswith(f"with 1 of 9 steps done: benchmate restore {copy} --piece 1")
    assert "No copy of it can be read here." in of_two


def test_the_damage_is_looked_for_in_all_that_is_kept() -> None:
    assert {name for kind, name, _ in expected_schema(VERSION) if kind == "table"} - {"sqlite_sequence"} == set(COVERED)


def test_a_report_has_what_is_needed_to_fix_the_fault(intact: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["/usr/bin/benchmate", "follow", "rain\x1b[2J.yaml"])
    with closing(Database(intact)) as opened, pytest.raises(StoreError), explained(intact):
        opened.connection.execute("SELECT * FROM nowhere")
    text = intact.fault_report.read_text(encoding="utf-8")
    assert "benchmate follow 'rain?[2J.yaml'" in text
    assert "Traceback (most recent call last):" in text
    assert "test_store_errors.py" in text
    assert "no such table: nowhere" in text
    assert f"SQLite {sqlite3.sqlite_version}" in text
    assert text.replace("\n", "").isprintable()


def test_a_report_replaces_the_one_before(home: Home) -> None:
    home.folder.mkdir()
    for name in ("first", "second"):
        message_of(home, ValueError(f"the {name} fault"))
    text = home.fault_report.read_text(encoding="utf-8")
    assert "the second fault" in text
    assert "the first fault" not in text
    assert [each.name for each in home.folder.iterdir()] == [home.fault_report.name]


def test_without_a_report_the_message_itself_is_to_be_sent(home: Home) -> None:
    # Its folder does not exist.
    message = str(message_of(home, failure(sqlite3.SQLITE_MISUSE)))
    assert message.startswith(f"{FAULT}OperationalError: as SQLite says it.")
    assert message.endswith("Please report it: send this message, and what you did, to whoever gave you benchmate.")


def test_a_message_has_no_control_characters(intact: Home) -> None:
    for code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN):
        error = sqlite3.DatabaseError("\x1b[2J\nno such table")
        error.sqlite_errorcode = code
        assert str(message_of(intact, error)).isprintable()


def test_too_little_memory_is_reported(home: Home) -> None:
    # Python has its own error for it.
    assert str(message_of(home, MemoryError())) == (
        "Not enough memory. Nothing was changed. Close other programs, then try again."
    )


def test_other_errors_pass_through_unchanged(home: Home) -> None:
    for error in (
        StoreError("explained already"),
        NotSaved("explained already"),
        KeyboardInterrupt(),
        OSError(2, "gone"),
    ):
        with pytest.raises(type(error)) as caught, explained(home):
            raise error
        assert caught.value is error
    assert not home.folder.exists()


def test_the_help_page_quotes_the_messages(intact: Home) -> None:
    page = " ".join((PAGES / "data.txt").read_text(encoding="utf-8").split())
    copy = make_copy(intact)
    assert copy is not None
    of_a_piece = str(damaged(intact, Damage("", 1)))
    for error in of_a_piece, str(damaged(intact, Damage(""))):
        # The page has a folder and a time of its own.
        advice, _, command = error.partition("Nothing was changed or deleted. ")[2].partition(" as of ")
        assert advice.startswith("To get ")
        assert f"{advice} as of " in page
        restore, _, options = command.rpartition(": ")[2].partition(str(copy))
        assert restore == "benchmate restore "
        assert re.search(rf"{restore}\S+/copies/pieces-[-0-9]+\.db{re.sub('1', '[0-9]+', options)}", page)
    assert f'"{FAULT.removesuffix(": ")}"' in page
    assert intact.fault_report.name in page


def test_a_database_that_is_locked_is_not_called_damaged_for_it(intact: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inspection, "WAIT", 0.0)
    with closing(sqlite3.connect(intact.database, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        message = str(damaged(intact, Damage("its log is not what was written", 1)))
    assert message.startswith(f"Piece 1 in {intact.database} is damaged (its log is not what was written). ")
