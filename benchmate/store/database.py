"""The database file: opening it safely, migrating it, making its daily copy."""

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from benchmate.files.atomic_write import temporary_beside
from benchmate.files.safe_text import shown
from benchmate.store.fault_report import write_report
from benchmate.store.places import fault_report

APPLICATION_ID = 0x6B6E6F74
"""Marks a database as ours (SQLite's application_id)."""
WAIT = 2.0
"""Seconds to wait while another window is writing."""


class StoreError(Exception):
    """The saved data cannot be read or written. The text says what is wrong, what was changed and what to do."""


class NotSaved(StoreError):
    """One change could not be saved; everything saved before is safe."""


MIGRATIONS = (
    f"""
    PRAGMA application_id = {APPLICATION_ID};
    CREATE TABLE piece (
        piece INTEGER PRIMARY KEY AUTOINCREMENT,
        title TEXT NOT NULL,
        file TEXT NOT NULL,
        started TEXT NOT NULL,
        touched TEXT NOT NULL,
        done INTEGER NOT NULL CHECK (done BETWEEN 0 AND size),
        size INTEGER NOT NULL,
        way TEXT NOT NULL,
        holder TEXT
    ) STRICT;
    CREATE TABLE copy (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        design TEXT NOT NULL,
        start TEXT,
        finish TEXT,
        repeats INTEGER NOT NULL,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
    CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
    CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
    """,
    """
    ALTER TABLE piece ADD COLUMN from_right INTEGER NOT NULL DEFAULT 0 CHECK (from_right IN (0, 1));
    ALTER TABLE piece ADD COLUMN mirrored INTEGER NOT NULL DEFAULT 0 CHECK (mirrored IN (0, 1));
    ALTER TABLE piece ADD COLUMN planned INTEGER NOT NULL DEFAULT 0;
    CREATE TABLE plan (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        steps BLOB NOT NULL
    ) STRICT;
    """,
)
"""What each version adds to the one before. Released entries never change; a new version is a new entry."""
VERSION = len(MIGRATIONS)


def connect(file: Path, copy: Path) -> sqlite3.Connection:
    """Opens the database at `file`: creates it if missing and migrates it to this version.

    Raises StoreError when it cannot be used; nothing in it has changed then.
    """
    try:
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise StoreError(
            f"The folder {file.parent} cannot be made ({error.strerror}). Nothing was changed. Set BENCHMATE_HOME to a "
            "folder you can write to."
        ) from error
    with explained(file, copy):
        _refuse_lost(file, copy)
        connection = sqlite3.connect(file, timeout=WAIT, isolation_level=None)
        try:
            _prepare(connection, file)
        except BaseException:  # Re-raised whatever it is, but the database must not stay open.
            connection.close()
            raise
    return connection


ELSEWHERE = " Make it writable, or set BENCHMATE_HOME to a folder that is."
"""The advice that ends a sentence about a file or folder that cannot be used."""


def _refuse_lost(file: Path, copy: Path) -> None:
    # A copy exists only once there are pieces; a new database would soon overwrite this last copy of them.
    if os.path.exists(copy) and not (os.path.exists(file) and os.path.getsize(file)):
        raise StoreError(
            f"{file} is missing or empty, but its daily copy {copy} is still there. Nothing was changed. "
            f"To get your pieces back, copy {copy.name} to {file.name}. To start without them, move {copy.name} away."
        )


def _prepare(connection: sqlite3.Connection, file: Path) -> None:
    # One transaction, so that all three are read from the same state: another window may be creating the database.
    connection.execute("BEGIN")
    version = _scalar(connection, "PRAGMA user_version")
    ours = _scalar(connection, "PRAGMA application_id")
    tables = _scalar(connection, "SELECT count(*) FROM sqlite_schema")
    connection.execute("COMMIT")
    if version == 0 and ours == 0 and tables == 0:
        ours = APPLICATION_ID
    if ours != APPLICATION_ID:
        raise StoreError(f"{file} belongs to another program. Nothing was changed. Move it away, then start again.")
    if version > VERSION:
        raise StoreError(
            f"{file} was written by a newer version of benchmate (its data is version {version}, this program reads "
            f"up to {VERSION}). Nothing was changed. Use the newer version, or set BENCHMATE_HOME to another folder."
        )
    if _write_ahead(connection) != "wal":
        raise StoreError(
            f"{file} is on a disk that cannot save safely. No piece was changed. Set BENCHMATE_HOME to a folder on "
            "another disk."
        )
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    if version < VERSION:
        _migrate(connection)


def _write_ahead(connection: sqlite3.Connection) -> str:
    """Switches to write-ahead logging; returns the journal mode the database then has.

    SQLite waits for other connections nearly everywhere, but not here.
    """
    until = time.monotonic() + WAIT
    while True:
        try:
            return str(_scalar(connection, "PRAGMA journal_mode = WAL"))
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
        time.sleep(0.02)


def _migrate(connection: sqlite3.Connection) -> None:
    with writing(connection):
        version = _scalar(connection, "PRAGMA user_version")
        for statements in MIGRATIONS[version:]:
            for statement in _statements(statements):
                connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {VERSION}")


def _statements(script: str) -> Iterator[str]:
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


@contextmanager
def writing(connection: sqlite3.Connection) -> Iterator[None]:
    """A transaction: everything written inside is committed at the end, or nothing is."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:  # No half change may stay, even while the program is exiting.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


OTHER_WINDOW = frozenset((sqlite3.SQLITE_BUSY, sqlite3.SQLITE_PROTOCOL, sqlite3.SQLITE_SCHEMA))
NOT_WRITABLE = frozenset((sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_NOLFS))
NO_DATABASE = frozenset((sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB))
"""The only codes that mean the file itself is damaged."""
OUR_FAULTS = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError, sqlite3.Warning)
"""What Python raises at a fault in the program."""


@contextmanager
def explained(file: Path, copy: Path) -> Iterator[None]:
    """Turns SQLite's errors into StoreErrors that tell a person what to do. An unknown error is our own fault."""
    try:
        yield
    except MemoryError as error:
        raise NotSaved(NO_MEMORY) from error
    except sqlite3.Error as error:
        raise _store_error(error, file, copy) from error
    except OUR_FAULTS as error:
        raise fault(file, error) from error


NO_MEMORY = "Not enough memory. Nothing was changed. Close other programs, then try again."


def _store_error(error: sqlite3.Error, file: Path, copy: Path) -> StoreError:
    # Errors found by Python's sqlite3 module itself have no code. The low byte of a code is the primary code.
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    kind, why = code & 0xFF, shown(str(error))
    if kind in NO_DATABASE:
        return damaged(file, copy, why)
    if kind in OTHER_WINDOW:
        return NotSaved(f"Another window is writing to {file}. Nothing was changed. Try again in a moment.")
    if kind == sqlite3.SQLITE_FULL:
        return NotSaved("Disk full. Nothing was changed. Free some space, then try again.")
    if kind == sqlite3.SQLITE_NOMEM or code == sqlite3.SQLITE_IOERR_NOMEM:
        return NotSaved(NO_MEMORY)
    if kind in NOT_WRITABLE:
        return NotSaved(f"{file} cannot be written to ({why}). Nothing was changed.{ELSEWHERE}")
    if kind == sqlite3.SQLITE_IOERR:
        return NotSaved(
            f"{file} cannot be read or written ({why}). Nothing was changed. Check whether the disk is full or failing."
        )
    return fault(file, error)


def fault(file: Path, error: Exception) -> StoreError:
    """The error for a fault in the program itself while it used the database at `file`; says how to report it."""
    report = fault_report(file)
    what = shown(f"{type(error).__name__}: {error}").rstrip(".")
    written = write_report(report, error)
    sent = str(report) if written else "this message, and what you did,"
    return StoreError(
        f"A fault in benchmate itself, not in your work: {what}. Nothing is lost; everything saved before is safe. "
        f"Please report it: send {sent} to whoever gave you benchmate."
    )


def damaged(file: Path, copy: Path, why: str) -> StoreError:
    """The error for a damaged database; says how to get the pieces back."""
    text = f"{file} is damaged ({why}). Nothing was changed or deleted."
    if copy.exists():
        return StoreError(
            f"{text} An undamaged daily copy is {copy}: move {file.name} to another folder, with {file.name}-wal and "
            f"{file.name}-shm if they are beside it, then copy {copy.name} to {file.name}."
        )
    return StoreError(f"{text} To start without it, move it to another folder; keep it, as a repair may be possible.")


def utc_date(seconds: float | None = None) -> str:
    """The UTC date, `2026-11-25`, of a time in seconds since 1970; today's when None."""
    return time.strftime("%Y-%m-%d", time.gmtime(seconds))


def make_daily_copy(file: Path, copy: Path, today: str) -> bool:
    """Copies an undamaged database, completely or not at all; False when there is already a copy of `today`.

    `today` is a UTC date such as `2026-11-25`.

    Raises StoreError when the database is damaged or the copy cannot be made.
    """
    with explained(file, copy):
        if copy.exists() and utc_date(copy.stat().st_mtime) == today:
            return False
        source = sqlite3.connect(file, timeout=WAIT, isolation_level=None)
        try:
            found = _scalar(source, "PRAGMA quick_check(1)")
            if found != "ok":
                raise damaged(file, copy, str(found).splitlines()[-1])
            # Two windows that copy at the same time must not write to the same file. (A lock would not help: while a
            # connection is writing, SQLite copies nothing and waits forever.)
            with temporary_beside(copy) as fresh:
                target = sqlite3.connect(fresh)
                try:
                    source.backup(target)
                finally:
                    target.close()
                os.replace(fresh, copy)
        except OSError as error:
            raise NotSaved(
                f"The daily copy {copy} could not be made ({error.strerror}). Your pieces are safe. "
                "The next start tries again."
            ) from error

        finally:
            source.close()
    return True


def _scalar(connection: sqlite3.Connection, query: str) -> Any:
    row = connection.execute(query).fetchone()
    return row[0] if row else None
