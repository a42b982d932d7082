"""What is said when the database cannot do what it is asked: each kind of trouble by its name, and no other."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.store import places
from benchmate.store.database import NotSaved, StoreError, connect, explained

DAMAGED = "is damaged ("
OTHER_WINDOW = "is being written to by another window. Try again in a moment."
NO_ROOM = "The disk is full. Free some room, then press again."
CLOSED = "cannot be written to ("
DISK = "see whether the disk is full or failing."
MEMORY = "Not enough memory"
FAULT = "A fault in benchmate itself, not in your work: "

SAYS = {
    "SQLITE_ERROR": FAULT,
    "SQLITE_INTERNAL": FAULT,
    "SQLITE_PERM": CLOSED,
    "SQLITE_ABORT": FAULT,
    "SQLITE_BUSY": OTHER_WINDOW,
    # A conflict within one connection: windows share none.
    "SQLITE_LOCKED": FAULT,
    "SQLITE_NOMEM": MEMORY,
    "SQLITE_READONLY": CLOSED,
    "SQLITE_INTERRUPT": FAULT,
    "SQLITE_IOERR": DISK,
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_NOTFOUND": FAULT,
    "SQLITE_FULL": NO_ROOM,
    "SQLITE_CANTOPEN": CLOSED,
    "SQLITE_PROTOCOL": OTHER_WINDOW,
    "SQLITE_EMPTY": FAULT,
    "SQLITE_SCHEMA": OTHER_WINDOW,
    "SQLITE_TOOBIG": FAULT,
    "SQLITE_CONSTRAINT": FAULT,
    "SQLITE_MISMATCH": FAULT,
    "SQLITE_MISUSE": FAULT,
    "SQLITE_NOLFS": CLOSED,
    "SQLITE_AUTH": FAULT,
    "SQLITE_FORMAT": FAULT,
    "SQLITE_RANGE": FAULT,
    "SQLITE_NOTADB": DAMAGED,
    "SQLITE_NOTICE": FAULT,
    "SQLITE_WARNING": FAULT,
}
"""What is said at each primary code that is an error: https://www.sqlite.org/rescode.html#primary_result_code_list"""
EXTENDED = {
    name: code
    for name in dir(sqlite3)
    if name.startswith("SQLITE_") and not name.startswith("SQLITE_OK") and (code := getattr(sqlite3, name)) > 0xFF
}
MEANT_OTHERWISE = {"SQLITE_IOERR_NOMEM": MEMORY}
"""Extended codes that say something else than the primary codes they extend."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "pieces.db"


@pytest.fixture
def copy(file: Path) -> Path:
    return file.with_name("pieces-copy.db")


@pytest.fixture
def report(file: Path) -> Path:
    """Where a fault of the program is written down; its folder is there."""
    file.parent.mkdir()
    return places.fault_report(file)


def said(file: Path, copy: Path, error: BaseException) -> StoreError:
    """What comes of an error."""
    with pytest.raises(StoreError) as caught, explained(file, copy):
        raise error
    assert caught.value.__cause__ is error
    return caught.value


def failure(code: int, kind: type[sqlite3.Error] = sqlite3.OperationalError) -> sqlite3.Error:
    """An error as SQLite raises it."""
    error = kind("as SQLite says it")
    error.sqlite_errorcode = code
    return error


def test_the_table_knows_every_code_there_is() -> None:
    primary = {getattr(sqlite3, name): name for name in SAYS}
    assert sorted(primary) == list(range(1, 29))
    assert {code & 0xFF for code in EXTENDED.values()} <= set(primary)
    assert len(EXTENDED) > 60


@pytest.mark.parametrize("kind", [sqlite3.OperationalError, sqlite3.DatabaseError, sqlite3.Error])
@pytest.mark.parametrize("name", SAYS)
def test_each_code_says_its_own(file: Path, copy: Path, report: Path, name: str, kind: type[sqlite3.Error]) -> None:
    error = said(file, copy, failure(getattr(sqlite3, name), kind))
    found = {words for words in set(SAYS.values()) if words in str(error)}
    assert found == {SAYS[name]}
    assert report.exists() == (SAYS[name] == FAULT)
    assert ("move" in str(error)) == (name in ("SQLITE_CORRUPT", "SQLITE_NOTADB"))
    assert len(str(error).splitlines()) == 1


@pytest.mark.parametrize("name", EXTENDED)
def test_an_extended_code_says_what_its_primary_code_does(file: Path, copy: Path, report: Path, name: str) -> None:
    primary = {getattr(sqlite3, each): each for each in SAYS}[EXTENDED[name] & 0xFF]
    assert MEANT_OTHERWISE.get(name, SAYS[primary]) in str(said(file, copy, failure(EXTENDED[name])))


@pytest.mark.parametrize("words", [OTHER_WINDOW, NO_ROOM, CLOSED, DISK, MEMORY])
def test_what_may_pass_is_only_this_one_press(file: Path, copy: Path, words: str) -> None:
    name = next(name for name, each in SAYS.items() if each == words)
    assert isinstance(said(file, copy, failure(getattr(sqlite3, name))), NotSaved)


# Errors as they really come.


def closed(_: sqlite3.Connection) -> object:
    connection = sqlite3.connect(":memory:")
    connection.close()
    return connection.execute("SELECT 1")


FAULTS: dict[str, Callable[[sqlite3.Connection], object]] = {
    "no such table": lambda connection: connection.execute("SELECT * FROM nowhere"),
    "no statement": lambda connection: connection.execute("SELEKT 1"),
    "a closed database": closed,
    "too few values": lambda connection: connection.execute("SELECT ?"),
    "a value of no kind": lambda connection: connection.execute("SELECT ?", (object(),)),
    "a number without an end": lambda connection: connection.execute("SELECT ?", (1 << 80,)),
    "a rule broken": lambda connection: connection.execute("INSERT INTO plan VALUES (7, x'00')"),
    "a value of the wrong kind": lambda connection: connection.execute("INSERT INTO plan VALUES ('x', x'00')"),
    "a text of no letters": lambda connection: connection.execute("SELECT ?", ("\ud800",)),
    "two statements": lambda connection: connection.execute("SELECT 1; SELECT 2"),
    "a row that is not there": lambda connection: connection.execute("SELECT 1 WHERE 0").fetchone()[0],
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_of_the_program_says_so_and_advises_nothing_that_loses(file: Path, copy: Path, fault: str) -> None:
    connection = connect(file, copy)
    before, report = file.read_bytes(), places.fault_report(file)
    for copied in (False, True):
        if copied:
            copy.touch()
        with pytest.raises(StoreError) as caught, explained(file, copy):
            FAULTS[fault](connection)
        words = str(caught.value)
        assert words.startswith(FAULT)
        assert "Nothing is lost: all that was saved before is safe." in words
        assert words.endswith(f"Please report it: {report} holds the details. Hand it to whoever gave you benchmate.")
        assert "damaged" not in words
        assert "move" not in words
    assert file.read_bytes() == before
    connection.close()


def test_a_report_holds_what_is_needed_to_mend_it(file: Path, copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["/usr/bin/benchmate", "follow", "rain\x1b[2J.yaml"])
    connection = connect(file, copy)
    with pytest.raises(StoreError), explained(file, copy):
        connection.execute("SELECT * FROM nowhere")
    connection.close()
    text = places.fault_report(file).read_text(encoding="utf-8")
    assert "benchmate follow 'rain?[2J.yaml'" in text
    assert "Traceback (most recent call last):" in text
    assert "test_store_errors.py" in text
    assert "no such table: nowhere" in text
    assert f"SQLite {sqlite3.sqlite_version}" in text
    assert text.replace("\n", "").isprintable()


def test_a_later_report_takes_the_place_of_the_one_before(file: Path, copy: Path, report: Path) -> None:
    for name in ("first", "second"):
        said(file, copy, ValueError(f"the {name} fault"))
    text = report.read_text(encoding="utf-8")
    assert "the second fault" in text
    assert "the first fault" not in text
    assert [each.name for each in file.parent.iterdir()] == [report.name]


def test_where_no_report_can_be_written_the_line_is_to_be_handed_on(file: Path, copy: Path) -> None:
    # There is no such folder.
    words = str(said(file, copy, failure(sqlite3.SQLITE_MISUSE)))
    assert words.startswith(f"{FAULT}OperationalError: as SQLite says it.")
    assert words.endswith("Please report it: hand this message, and what you did, to whoever gave you benchmate.")


def test_a_message_never_drives_a_terminal(file: Path, copy: Path, report: Path) -> None:
    for code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN):
        error = sqlite3.DatabaseError("\x1b[2J\nno such table")
        error.sqlite_errorcode = code
        assert str(said(file, copy, error)).isprintable()


def test_no_memory_is_said(file: Path, copy: Path) -> None:
    # Python has an error of its own for it.
    assert str(said(file, copy, MemoryError())) == "Not enough memory. Close other programs, then press again."


def test_what_is_no_fault_goes_on_as_it_is(file: Path, copy: Path) -> None:
    for error in (StoreError("said already"), NotSaved("said already"), KeyboardInterrupt(), OSError(2, "gone")):
        with pytest.raises(type(error)) as caught, explained(file, copy):
            raise error
        assert caught.value is error
    assert not file.parent.exists()
