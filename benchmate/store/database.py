"""The database itself: opened safely, brought up to date, copied once a day."""

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from benchmate.files.atomic_write import temporary_beside
from benchmate.files.words import shown
from benchmate.store.fault_report import write_report
from benchmate.store.places import fault_report

APPLICATION = 0x6B6E6F74
"""Marks a database as ours (SQLite's application_id)."""
WAIT = 2.0
"""Seconds to wait for another window that is writing."""


class StoreError(Exception):
    """What is kept cannot be read or written. The text says what is wrong and what to do."""


class NotSaved(StoreError):
    """This one press could not be saved; all that was saved before it is safe."""


MIGRATIONS = (
    f"""
    PRAGMA application_id = {APPLICATION};
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
"""What each version adds to the one before it. Released entries never change; a new version is a new entry."""
VERSION = len(MIGRATIONS)


def connect(file: Path, copy: Path) -> sqlite3.Connection:
    """The database at `file`, made if there is none, brought up to this version.

    Raises StoreError when it cannot be used; then nothing in it has been changed.
    """
    try:
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise StoreError(
            f"{file.parent} cannot be made ({error.strerror}): nothing could be kept there.{ELSEWHERE}"
        ) from error
    with explained(file, copy):
        _refuse_lost(file, copy)
        connection = sqlite3.connect(file, timeout=WAIT, isolation_level=None)
        try:
            _prepare(connection, file)
        except BaseException:  # Whatever it was, it goes on; only the database must not stay open behind it.
            connection.close()
            raise
    return connection


ELSEWHERE = " Set BENCHMATE_HOME to a folder that can be written to, or make this one writable."


def _refuse_lost(file: Path, copy: Path) -> None:
    # A copy is only made once there are pieces: beginning anew would write over the last there is of them.
    if os.path.exists(copy) and not (os.path.exists(file) and os.path.getsize(file)):
        raise StoreError(
            f"{file} is gone or empty, and {copy}, a copy from an earlier day, is still here. Nothing was changed. "
            f"Copy that one to the place of {file.name}, or move it away to begin anew."
        )


def _prepare(connection: sqlite3.Connection, file: Path) -> None:
    # One transaction, so that all three are read of the same state while another window may be making the database.
    connection.execute("BEGIN")
    version = _scalar(connection, "PRAGMA user_version")
    ours = _scalar(connection, "PRAGMA application_id")
    tables = _scalar(connection, "SELECT count(*) FROM sqlite_schema")
    connection.execute("COMMIT")
    if version == 0 and ours == 0 and tables == 0:
        ours = APPLICATION
    if ours != APPLICATION:
        raise StoreError(
            f"{file} is some other program's database; it was left as it is. Move it away to begin one here."
        )
    if version > VERSION:
        raise StoreError(
            f"{file} was written by a newer version of benchmate (its data is version {version}, this program knows "
            f"{VERSION}). Nothing was changed. Use the newer version, or set BENCHMATE_HOME to another folder."
        )
    if _write_ahead(connection) != "wal":
        raise StoreError(f"{file} lies where safe writing is not possible.{ELSEWHERE}")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    if version < VERSION:
        _migrate(connection)


def _write_ahead(connection: sqlite3.Connection) -> str:
    """Changes to write-ahead logging, and says how the database is logged then.

    SQLite waits for other connections in nearly everything, but not here.
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
    """All or nothing: what is written inside is committed at the end, or not at all."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:  # Even when the program is being left, half a change must not stay.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


OTHER_WINDOW = frozenset((sqlite3.SQLITE_BUSY, sqlite3.SQLITE_PROTOCOL, sqlite3.SQLITE_SCHEMA))
NOT_WRITABLE = frozenset((sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_NOLFS))
NO_DATABASE = frozenset((sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB))
"""The only codes that say that the file itself is damaged."""
OUR_FAULTS = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError, sqlite3.Warning)
"""What Python raises where the program is wrong."""


@contextmanager
def explained(file: Path, copy: Path) -> Iterator[None]:
    """Turns what SQLite says into what a person can act on. What is not known to be anything else is our own fault."""
    try:
        yield
    except MemoryError as error:
        raise NotSaved(NO_MEMORY) from error
    except sqlite3.Error as error:
        raise _meant(error, file, copy) from error
    except OUR_FAULTS as error:
        raise fault(file, error) from error


NO_MEMORY = "Not enough memory. Close other programs, then press again."


def _meant(error: sqlite3.Error, file: Path, copy: Path) -> StoreError:
    # Errors that Python's own part of it finds have no code. The low byte of a code is the kind of trouble.
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    kind, why = code & 0xFF, shown(str(error))
    if kind in NO_DATABASE:
        return damaged(file, copy, why)
    if kind in OTHER_WINDOW:
        return NotSaved(f"{file} is being written to by another window. Try again in a moment.")
    if kind == sqlite3.SQLITE_FULL:
        return NotSaved("The disk is full. Free some room, then press again.")
    if kind == sqlite3.SQLITE_NOMEM or code == sqlite3.SQLITE_IOERR_NOMEM:
        return NotSaved(NO_MEMORY)
    if kind in NOT_WRITABLE:
        return NotSaved(f"{file} cannot be written to ({why}).{ELSEWHERE}")
    if kind == sqlite3.SQLITE_IOERR:
        return NotSaved(f"{file} cannot be read or written ({why}): see whether the disk is full or failing.")
    return fault(file, error)


def fault(file: Path, error: Exception) -> StoreError:
    """The error for a fault of the program itself while it used the database at `file`, and how to report it."""
    report = fault_report(file)
    what = shown(f"{type(error).__name__}: {error}").rstrip(".")
    written = write_report(report, error)
    how = f"{report} holds the details. Hand it" if written else "hand this message, and what you did,"
    return StoreError(
        f"A fault in benchmate itself, not in your work: {what}. Nothing is lost: all that was saved before is safe. "
        f"Please report it: {how} to whoever gave you benchmate."
    )


def damaged(file: Path, copy: Path, why: str) -> StoreError:
    """The error for a database that is damaged, with the way back that there is."""
    text = f"{file} is damaged ({why}). Nothing was changed or thrown away."
    if copy.exists():
        return StoreError(
            f"{text} A sound copy from an earlier day is {copy}: move the damaged file away, with {file.name}-wal and "
            f"{file.name}-shm where they lie beside it, and copy that one to its place."
        )
    return StoreError(f"{text} Keep the file for repair, and move it away to go on without it.")


def day(seconds: float | None = None) -> str:
    """The UTC date, `2026-11-25`, of a moment in seconds since 1970; of now when None."""
    return time.strftime("%Y-%m-%d", time.gmtime(seconds))


def keep_copy(file: Path, copy: Path, today: str) -> bool:
    """Makes the day's copy of a sound database, whole or not at all; False when there is one of `today` already.

    `today` is a UTC date such as `2026-11-25`.

    Raises StoreError when the database is damaged, or the copy cannot be made.
    """
    with explained(file, copy):
        if copy.exists() and day(copy.stat().st_mtime) == today:
            return False
        source = sqlite3.connect(file, timeout=WAIT, isolation_level=None)
        try:
            found = _scalar(source, "PRAGMA quick_check(1)")
            if found != "ok":
                raise damaged(file, copy, str(found).splitlines()[-1])
            # Two windows making the copy at once must not write the same file. (A lock would not do: SQLite copies
            # nothing, and waits for ever, while a connection has begun to write.)
            with temporary_beside(copy) as fresh:
                target = sqlite3.connect(fresh)
                try:
                    source.backup(target)
                finally:
                    target.close()
                os.replace(fresh, copy)
        except OSError as error:
            raise NotSaved(f"The daily copy {copy} could not be made ({error.strerror}).") from error
        finally:
            source.close()
    return True


def _scalar(connection: sqlite3.Connection, query: str) -> Any:
    row = connection.execute(query).fetchone()
    return row[0] if row else None
