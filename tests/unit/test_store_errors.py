"""The message for each error of the database: the right one, with the right advice."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate import help as help_pages
from benchmate.store import places
from benchmate.store.database import NotSaved, StoreError, connect, damaged, explained

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
    if name.startswith("SQLITE_") and not name.startswith("SQLITE_OK") and (code := getattr(sqlite3, name)) > 0xFF
}
EXCEPTIONS = {"SQLITE_IOERR_NOMEM": MEMORY}
"""Extended codes with another message than the primary codes they extend."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "pieces.db"


@pytest.fixture
def copy(file: Path) -> Path:
    return file.with_name("pieces-copy.db")


@pytest.fixture
def report(file: Path) -> Path:
    """Where a fault in the program is reported; its folder exists."""
    file.parent.mkdir()
    return places.fault_report(file)


def message_of(file: Path, copy: Path, error: BaseException) -> StoreError:
    """The StoreError that an error becomes."""
    with pytest.raises(StoreError) as caught, explained(file, copy):
        raise error
    assert caught.value.__cause__ is error
    return caught.value


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
def test_each_code_has_its_own_message(
    file: Path, copy: Path, report: Path, name: str, kind: type[sqlite3.Error]
) -> None:
    error = message_of(file, copy, failure(getattr(sqlite3, name), kind))
    found = {message for message in set(MESSAGES.values()) if message in str(error)}
    assert found == {MESSAGES[name]}
    assert report.exists() == (MESSAGES[name] == FAULT)
    assert ("move" in str(error)) == (name in ("SQLITE_CORRUPT", "SQLITE_NOTADB"))
    assert len(str(error).splitlines()) == 1


@pytest.mark.parametrize("name", EXTENDED)
def test_an_extended_code_has_the_message_of_its_primary_code(file: Path, copy: Path, report: Path, name: str) -> None:
    primary = {getattr(sqlite3, each): each for each in MESSAGES}[EXTENDED[name] & 0xFF]
    assert EXCEPTIONS.get(name, MESSAGES[primary]) in str(message_of(file, copy, failure(EXTENDED[name])))


@pytest.mark.parametrize("message", [OTHER_WINDOW, DISK_FULL, NOT_WRITABLE, DISK, MEMORY])
def test_passing_errors_concern_one_press_only(file: Path, copy: Path, message: str) -> None:
    name = next(name for name, each in MESSAGES.items() if each == message)
    assert isinstance(message_of(file, copy, failure(getattr(sqlite3, name))), NotSaved)


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
    "a broken foreign key": lambda connection: connection.execute("INSERT INTO plan VALUES (7, x'00')"),
    "a value of the wrong type": lambda connection: connection.execute("INSERT INTO plan VALUES ('x', x'00')"),
    "a text that is not Unicode": lambda connection: connection.execute("SELECT ?", ("\ud800",)),
    "two statements": lambda connection: connection.execute("SELECT 1; SELECT 2"),
    "a row that is not there": lambda connection: connection.execute("SELECT 1 WHERE 0").fetchone()[0],
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_the_program_is_called_one_and_its_advice_loses_nothing(file: Path, copy: Path, fault: str) -> None:
    connection = connect(file, copy)
    before, report = file.read_bytes(), places.fault_report(file)
    for copied in (False, True):
        if copied:
            copy.touch()
        with pytest.raises(StoreError) as caught, explained(file, copy):
            FAULTS[fault](connection)
        message = str(caught.value)
        assert message.startswith(FAULT)
        assert "Nothing is lost; everything saved before is safe." in message
        assert message.endswith(f"Please report it: send {report} to whoever gave you benchmate.")
        assert "damaged" not in message
        assert "move" not in message
    assert file.read_bytes() == before
    connection.close()


def test_a_report_has_what_is_needed_to_fix_the_fault(file: Path, copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
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


def test_a_report_replaces_the_one_before(file: Path, copy: Path, report: Path) -> None:
    for name in ("first", "second"):
        message_of(file, copy, ValueError(f"the {name} fault"))
    text = report.read_text(encoding="utf-8")
    assert "the second fault" in text
    assert "the first fault" not in text
    assert [each.name for each in file.parent.iterdir()] == [report.name]


def test_without_a_report_the_message_itself_is_to_be_sent(file: Path, copy: Path) -> None:
    # Its folder does not exist.
    message = str(message_of(file, copy, failure(sqlite3.SQLITE_MISUSE)))
    assert message.startswith(f"{FAULT}OperationalError: as SQLite says it.")
    assert message.endswith("Please report it: send this message, and what you did, to whoever gave you benchmate.")


def test_a_message_has_no_control_characters(file: Path, copy: Path, report: Path) -> None:
    for code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN):
        error = sqlite3.DatabaseError("\x1b[2J\nno such table")
        error.sqlite_errorcode = code
        assert str(message_of(file, copy, error)).isprintable()


def test_too_little_memory_is_reported(file: Path, copy: Path) -> None:
    # Python has its own error for it.
    assert str(message_of(file, copy, MemoryError())) == (
        "Not enough memory. Nothing was changed. Close other programs, then try again."
    )


def test_other_errors_pass_through_unchanged(file: Path, copy: Path) -> None:
    for error in (
        StoreError("explained already"),
        NotSaved("explained already"),
        KeyboardInterrupt(),
        OSError(2, "gone"),
    ):
        with pytest.raises(type(error)) as caught, explained(file, copy):
            raise error
        assert caught.value is error
    assert not file.parent.exists()


def test_the_help_page_quotes_the_messages(file: Path, copy: Path) -> None:
    page = " ".join((PAGES / "data.txt").read_text(encoding="utf-8").split())
    file.parent.mkdir()
    copy.touch()
    with pytest.raises(StoreError) as missing:
        connect(file, copy)
    _, _, advice_when_missing = str(missing.value).partition("Nothing was changed. ")
    _, _, advice_when_damaged = str(damaged(file, copy, "")).partition("Nothing was changed or deleted. ")
    assert advice_when_missing
    assert advice_when_missing in page
    assert advice_when_damaged.replace(str(copy), f"FOLDER/{copy.name}") in page
    assert f'"{FAULT.removesuffix(": ")}"' in page
    assert places.fault_report(file).name in page
