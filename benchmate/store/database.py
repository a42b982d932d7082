"""The database file: opening it, and changes that are saved completely or not at all, in the file that stays."""

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager

from benchmate.store.checksum import OF_THREAD, add_checksum
from benchmate.store.errors import Gone, NotSaved, StoreError, damaged, empty, explained, missing
from benchmate.store.inspection import (
    OTHER_TABLES,
    WAIT,
    Damage,
    has_tables_of_this_version,
    in_memory,
    is_ours,
    open_to_read,
    quick_check,
    version_of,
)
from benchmate.store.migrations import VERSION, migrate
from benchmate.store.places import Home


class Database:
    """The open database of a home.

    It keeps a rollback journal: everything saved is in the one file, whatever ends the program.
    """

    def __init__(self, home: Home) -> None:
        """Opens the database: creates it if missing and brings it to this version.

        Raises StoreError when it cannot be used; nothing in it has changed then.
        """
        self.home = home
        try:
            home.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise StoreError(
                f"The folder {home.folder} cannot be made ({error.strerror}). Nothing was changed. Set BENCHMATE_HOME "
                "to a folder you can write to."
            ) from error
        with explained(home):
            _refuse_lost(home)
            self.connection = sqlite3.connect(home.database, timeout=WAIT, isolation_level=None)
            try:
                _prepare(self.connection, home)
                self._identity = _identity(home)
            except BaseException:  # Re-raised whatever it is, but the database must not stay open.
                self.connection.close()
                raise

    def close(self) -> None:
        """Closes the database."""
        self.connection.close()

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Everything read inside is from the same moment, whatever other windows write."""
        with explained(self.home):
            self._read_again()
            self.connection.execute("BEGIN")
            try:
                yield
            finally:
                if self.connection.in_transaction:
                    self.connection.execute("COMMIT")

    @contextmanager
    def writing(self) -> Iterator[None]:
        """A transaction: everything written inside is saved at the end, or nothing is.

        Raises Gone when the next start would not find it, because the file was removed or replaced.
        """
        self.refuse_gone()
        try:
            with explained(self.home):
                self._read_again()
                with transaction(self.connection):
                    yield
        except StoreError:
            # What fails in a file that was removed or replaced fails for that reason.
            self.refuse_gone()
            raise
        self.refuse_gone()

    def _read_again(self) -> None:
        """Forgets what was read from the file.

        SQLite trusts it until a counter in the file differs. That of a copy written over the file may be the same, and
        a change would then mix the two.
        """
        self.connection.execute("PRAGMA shrink_memory")

    def refuse_gone(self) -> None:
        """Raises Gone when the file has been removed or replaced since it was opened."""
        if _identity(self.home) != self._identity:
            raise gone(self.home)


def gone(home: Home) -> Gone:
    """The error for a database that was removed or replaced while it was open."""
    return Gone(
        f"{home.database} was removed or replaced while benchmate was open. "
        "Nothing more can be saved there from this window."
    )


def _identity(home: Home) -> tuple[int, int] | None:
    """Which file the database is; None when there is none."""
    try:
        found = os.stat(home.database)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _refuse_lost(home: Home) -> None:
    # A copy exists only once there is something to lose; an empty database would hide that it is missing.
    error = missing(home)
    if error is not None:
        raise error


def _prepare(connection: sqlite3.Connection, home: Home) -> None:
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA foreign_keys = ON")
    add_checksum(connection)
    version = _version(connection, home)
    (journal,) = connection.execute("PRAGMA journal_mode").fetchone()
    if version == VERSION and journal == "delete":
        return
    # Known before anything is changed: what a migration makes of other tables could not be told from damage.
    if version and not has_tables_of_this_version(connection):
        raise damaged(home, Damage(OTHER_TABLES))
    _no_write_ahead_log(connection, home)
    with transaction(connection):
        migrate(connection)


def _version(connection: sqlite3.Connection, home: Home) -> int:
    """The version of an intact database of ours; 0 for a new one. Raises StoreError for any other."""
    file = home.database
    # One transaction, so that all is read from the same state: another window may be creating the database.
    connection.execute("BEGIN")
    version, ours = version_of(connection), is_ours(connection)
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    (marked,) = connection.execute("PRAGMA application_id").fetchone()
    found = quick_check(connection)
    connection.execute("COMMIT")
    if found is not None:
        raise damaged(home, Damage(found))
    new = (version, tables, marked) == (0, 0, 0)
    if not ours and not new:
        raise StoreError(f"{file} belongs to another program. Nothing was changed. Move it away, then start again.")
    if version > VERSION:
        raise StoreError(
            f"{file} was written by a newer version of benchmate (its data is version {version}, this program reads "
            f"up to {VERSION}). Nothing was changed. Use the newer version, or set BENCHMATE_HOME to another folder."
        )
    if new or not _has_content(connection):
        # Another machine's may have come in its place, or the write-ahead log of an earlier version was lost.
        error = empty(home)
        # Meanwhile another window may have begun the first piece, and made a copy.
        if error is not None and not _has_content(connection):
            raise error
    return version


def _has_content(connection: sqlite3.Connection) -> bool:
    """True when there is a piece, or anything in the box or the gauges."""
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    kept = [table for table in ("piece", *OF_THREAD) if table in tables]
    return any(connection.execute(f"SELECT EXISTS (SELECT 1 FROM {table})").fetchone() == (1,) for table in kept)


def _no_write_ahead_log(connection: sqlite3.Connection, home: Home) -> None:
    """Takes the write-ahead log of earlier versions into the database file.

    SQLite waits for other connections nearly everywhere, but not here.
    """
    until = time.monotonic() + WAIT
    while True:
        try:
            connection.execute("PRAGMA journal_mode = DELETE").fetchone()
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                raise
            if time.monotonic() > until:
                raise NotSaved(
                    f"{home.database} is open in a window of an earlier version of benchmate. Nothing was changed. "
                    "Leave it there, then try again."
                ) from error
        time.sleep(0.02)


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Everything written inside is saved at the end, or nothing is."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:  # No half change may stay, even while the program is exiting.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def opened_to_read(home: Home) -> sqlite3.Connection | None:
    """The database, for reading alone, needing no free space; None when there is none yet. Raises StoreError."""
    try:
        _refuse_lost(home)
        is_new = not os.path.exists(home.database) or os.path.getsize(home.database) == 0
    except OSError as error:
        raise StoreError(
            f"{home.database} cannot be read ({error.strerror}). Nothing was changed. Make its folder readable, or set "
            "BENCHMATE_HOME to another folder."
        ) from error
    if is_new:
        return None
    with explained(home):
        connection = open_to_read(home.database, alone=True)
        try:
            version = _version(connection, home)
            if version == VERSION:
                return connection
        except BaseException:  # Re-raised whatever it is, but the database must not stay open.
            connection.close()
            raise
        connection.close()
        return in_memory(home.database, alone=True) if version else None
