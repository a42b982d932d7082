"""What each version of the database adds to the one before."""

import sqlite3
from collections.abc import Iterator

from benchmate.store.checksum import add_checksum

APPLICATION_ID = 0x6B6E6F74
"""Marks a database as ours (SQLite's application_id)."""

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
    """
    ALTER TABLE piece ADD COLUMN entries INTEGER NOT NULL DEFAULT 0;
    ALTER TABLE piece ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
    ALTER TABLE copy ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
    ALTER TABLE event ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
    CREATE TEMPORARY TABLE plan_before AS SELECT piece, steps FROM plan;
    DROP TABLE plan;
    CREATE TABLE plan (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        steps BLOB NOT NULL,
        sum INTEGER NOT NULL
    ) STRICT;
    INSERT INTO plan SELECT piece, steps, checksum(piece, steps) FROM plan_before;
    DROP TABLE plan_before;
    DROP TRIGGER event_is_never_changed;
    UPDATE copy SET sum = checksum(piece, number, at, design, start, finish, repeats);
    UPDATE event SET sum = checksum(piece, number, at, act, first, last);
    UPDATE piece SET entries = (SELECT count(*) FROM event WHERE event.piece = piece.piece);
    UPDATE piece SET sum = checksum(piece, title, CAST(file AS BLOB), started, touched, done, size, way, from_right,
        mirrored, planned, entries);
    CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
    """,
    """
    ALTER TABLE piece ADD COLUMN name TEXT;
    ALTER TABLE piece ADD COLUMN aside INTEGER NOT NULL DEFAULT 0 CHECK (aside IN (0, 1));
    ALTER TABLE piece ADD COLUMN deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1));
    ALTER TABLE piece ADD COLUMN arranged INTEGER NOT NULL DEFAULT 0;
    UPDATE piece SET sum = checksum(piece, title, CAST(file AS BLOB), started, touched, done, size, way, from_right,
        mirrored, planned, entries, name, aside, deleted, arranged)
        WHERE sum = checksum(piece, title, CAST(file AS BLOB), started, touched, done, size, way, from_right,
        mirrored, planned, entries);
    """,
)
"""What each version adds to the one before. Released entries never change; a new version is a new entry.

Some databases of version 2 have one more column in `plan`, so version 3 creates that table again. Version 4 gives new
checksums only to rows that were intact, so that what is damaged stays known as damaged.
"""
VERSION = len(MIGRATIONS)


def migrate(connection: sqlite3.Connection, to: int | None = None) -> None:
    """Brings the database to this version, or to an earlier one; must run inside a transaction."""
    to = VERSION if to is None else to
    add_checksum(connection)
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    for script in MIGRATIONS[version:to]:
        for statement in _statements(script):
            connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {to}")


def _statements(script: str) -> Iterator[str]:
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


def expected_schema(version: int) -> set[tuple[str, str, str]]:
    """The type, name and SQL of everything in a database of a version."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        migrate(connection, version)
        return schema(connection)
    finally:
        connection.close()


def schema(connection: sqlite3.Connection) -> set[tuple[str, str, str]]:
    """The type, name and SQL, without spaces, of everything in the database."""
    rows = connection.execute("SELECT type, name, coalesce(sql, '') FROM sqlite_schema")
    return {(kind, name, "".join(sql.split())) for kind, name, sql in rows}
