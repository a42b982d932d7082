"""Reading a database without changing it, and telling whether it is intact."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from benchmate.store.checksum import CALLED, COVERED, UNREADABLE, add_checksum, intact
from benchmate.store.migrations import APPLICATION_ID, VERSION, expected_schema, migrate, schema
from benchmate.store.thread.intact_rows import IntactRows

NO_DATABASE = frozenset((sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB))
"""The codes that mean the file itself is damaged."""
OTHER_TABLES = "its tables are not as this program makes them"
"""What is wrong with a database that lacks a table or a column, or has another one."""
WAIT = 2.0
"""Seconds to wait while another window is writing."""


class Damage(NamedTuple):
    """What is damaged, in words; the number of the piece, where only that is.

    `beside` is true where no piece is concerned, but only a part of the box or of a gauge.
    """

    why: str
    piece: int | None = None
    beside: bool = False

    @property
    def of_all(self) -> bool:
        """True where the database itself is damaged."""
        return self.piece is None and not self.beside


def open_to_read(file: Path, *, alone: bool = False) -> sqlite3.Connection:
    """A connection that changes nothing, and needs no free space. Raises sqlite3.Error.

    `alone` means that this process has the file open nowhere else.
    """
    how = "mode=ro"
    if os.path.exists(f"{file}-journal"):
        # After a kill in the middle of a change, SQLite has to take the half change back before anything can be read.
        how = "mode=rw"
    elif alone and _has_empty_log(file):
        # Otherwise SQLite would put files beside it, and leave them there.
        how = "mode=ro&immutable=1"
    connection = sqlite3.connect(f"{file.absolute().as_uri()}?{how}", timeout=WAIT, isolation_level=None, uri=True)
    connection.execute("PRAGMA trusted_schema = OFF")
    add_checksum(connection)
    return connection


def _has_empty_log(file: Path) -> bool:
    """True for a database that an earlier version kept with a write-ahead log, and left with nothing in that log.

    It must not be open elsewhere in this process: closing a file releases all locks that the process has on it.
    """
    log = f"{file}-wal"
    if (os.path.exists(log) and os.path.getsize(log)) or not os.path.isfile(file):
        return False
    try:
        with open(file, "rb") as stream:
            # https://www.sqlite.org/fileformat2.html#file_format_version_numbers
            return stream.read(20)[18:] == b"\x02\x02"
    except OSError:
        return False


def in_memory(file: Path, *, alone: bool = False) -> sqlite3.Connection:
    """All that the database holds at this moment, in memory and brought to this version. Raises `UNREADABLE`.

    `alone` means that this process has the file open nowhere else.
    """
    with closing(open_to_read(file, alone=alone)) as source:
        return brought_up(source)


def brought_up(source: sqlite3.Connection) -> sqlite3.Connection:
    """All that a database holds at this moment, in memory and brought to this version. Raises `UNREADABLE`.

    One with tables from which this version cannot be made stays as it is.
    """
    memory = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    try:
        # Inside a transaction: outside of one, the copying waits for ever for a program that locks the file.
        source.execute("BEGIN")
        version_of(source)
        source.backup(memory)
        source.execute("COMMIT")
        memory.execute("PRAGMA trusted_schema = OFF")
        if is_ours(memory) and _can_migrate(memory):
            _migrate(memory)
        add_checksum(memory)
    except BaseException:  # Re-raised whatever it is, but the memory must not stay taken.
        memory.close()
        raise
    return memory


def _migrate(memory: sqlite3.Connection) -> None:
    memory.execute("BEGIN")
    try:
        migrate(memory)
        memory.execute("COMMIT")
    except sqlite3.OperationalError as error:
        memory.execute("ROLLBACK")
        # A table or a column is missing.
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_ERROR:
            raise


def has_tables_of_this_version(source: sqlite3.Connection) -> bool:
    """True where a database, once brought to this version, has the tables that this program makes.

    Nothing in it is changed. Raises `UNREADABLE`.
    """
    with closing(brought_up(source)) as memory:
        return schema(memory) == expected_schema(VERSION)


def _can_migrate(connection: sqlite3.Connection) -> bool:
    """True for an intact database of an earlier version, with no view and no trigger that is not ours."""
    version = version_of(connection)
    if not 0 < version < VERSION or quick_check(connection) is not None:
        return False
    return _without_tables(schema(connection)) == _without_tables(expected_schema(version))


def _without_tables(schema: set[tuple[str, str, str]]) -> set[tuple[str, str, str]]:
    """The schema with the names of its tables alone: their columns were not the same in all databases of a version."""
    return {(kind, name, "" if kind == "table" else sql) for kind, name, sql in schema}


def version_of(connection: sqlite3.Connection) -> int:
    """The version of the data."""
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    return int(version)


def is_ours(connection: sqlite3.Connection) -> bool:
    """True for a database of this program."""
    return bool(connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,))


def as_file(connection: sqlite3.Connection) -> bytes:
    """The content of a file with everything in a database in memory."""
    content = bytearray(connection.serialize())
    # Written by an earlier version, it may ask for a second file beside it, which is not needed:
    # https://www.sqlite.org/fileformat2.html#file_format_version_numbers
    content[18:20] = b"\x01\x01"
    return bytes(content)


def quick_check(connection: sqlite3.Connection) -> str | None:
    """What SQLite finds wrong with the file itself; None when nothing."""
    return _check(connection, "quick_check")


def _check(connection: sqlite3.Connection, how: str) -> str | None:
    (found,) = connection.execute(f"PRAGMA {how}(1)").fetchone()
    return None if found == "ok" else str(found).splitlines()[-1]


def damage_in(connection: sqlite3.Connection) -> Damage | None:
    """The first that is wrong with a database of this version, after reading all of it; None when nothing.

    The connection must know `checksum`.
    """
    return next(damages_in(connection), None)


def damages_in(connection: sqlite3.Connection, *, rows_only: bool = False) -> Iterator[Damage]:
    """All that is wrong with a database of this version: one thing for the database itself, or for each piece.

    After the pieces comes what is wrong with the box and the gauges.

    With `rows_only`, its tables need not be exactly as this program makes them.
    """
    try:
        # The quick one does not see rows that are not in their order.
        found = _check(connection, "integrity_check")
        if found is not None:
            yield Damage(found)
        elif not rows_only and schema(connection) != expected_schema(VERSION):
            yield Damage(OTHER_TABLES)
        else:
            yield from _damages_in_rows(connection)
    except UNREADABLE as error:
        yield Damage(str(error))


def _damages_in_rows(connection: sqlite3.Connection) -> Iterator[Damage]:
    for table in COVERED:
        # A column that is missing concerns all of the database, not the first piece that is looked at.
        connection.execute(f"SELECT {intact(table)} FROM {table} LIMIT 0")
    known = {piece for (piece,) in connection.execute("SELECT piece FROM piece")}
    for table, called in CALLED.items():
        for (piece,) in connection.execute(f"SELECT DISTINCT piece FROM {table}"):
            if piece not in known:
                yield Damage(f"there is no piece {piece}, but {called} of it")
                return
    for piece in sorted(known):
        why = _damage_in_piece(connection, piece)
        if why is not None:
            yield Damage(why, piece)
    for why in IntactRows(connection).damages:
        yield Damage(why, beside=True)


def _damage_in_piece(connection: sqlite3.Connection, piece: int) -> str | None:
    try:
        for table, called in CALLED.items():
            query = f"SELECT count(*) FROM {table} WHERE piece = ? AND NOT {intact(table)}"
            if connection.execute(query, (piece,)).fetchone() != (0,):
                return f"{called} of piece {piece} is not what was written"
        query = (
            "SELECT entries, (SELECT count(*) FROM event WHERE event.piece = piece.piece),"
            " (SELECT max(number) FROM event WHERE event.piece = piece.piece),"
            " (SELECT count(*) FROM copy WHERE copy.piece = piece.piece), holder FROM piece WHERE piece = ?"
        )
        entries, found, last, copies, _ = connection.execute(query, (piece,)).fetchone()
    except UNREADABLE as error:
        return str(error)
    if not entries == found == last:
        return f"entries of the log of piece {piece} are missing"
    return None if copies else f"the design of piece {piece} is missing"


def damages_in_file(file: Path, *, rows_only: bool = False) -> list[Damage]:
    """All that is wrong with the database in a file; nothing when that cannot be told now. See `damages_in`."""
    try:
        memory = in_memory(file)
    except sqlite3.DatabaseError as error:
        known = getattr(error, "sqlite_errorcode", 0) & 0xFF
        return [Damage(str(error))] if known in NO_DATABASE else []
    except UnicodeDecodeError as error:
        return [Damage(str(error))]
    except sqlite3.Error:
        return []
    with closing(memory):
        return list(damages_in(memory, rows_only=rows_only))
