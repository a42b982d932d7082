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
    """
    CREATE TABLE gauge (
        name TEXT PRIMARY KEY,
        at TEXT NOT NULL,
        thickness REAL,
        slippery INTEGER NOT NULL DEFAULT 0 CHECK (slippery IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
    CREATE TABLE session (
        session INTEGER PRIMARY KEY AUTOINCREMENT,
        gauge TEXT NOT NULL,
        at TEXT NOT NULL,
        piece INTEGER,
        taken_back INTEGER NOT NULL DEFAULT 0 CHECK (taken_back IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
    CREATE TABLE seen (
        session INTEGER NOT NULL REFERENCES session,
        number INTEGER NOT NULL,
        what TEXT NOT NULL CHECK (what IN ('string', 'base', 'rows', 'alpha rows', 'wide')),
        made INTEGER NOT NULL,
        carried INTEGER NOT NULL,
        stayed INTEGER NOT NULL,
        waited INTEGER NOT NULL,
        mm REAL NOT NULL CHECK (mm > 0),
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (session, number)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE left_over (
        session INTEGER NOT NULL REFERENCES session,
        number INTEGER NOT NULL,
        colour TEXT NOT NULL,
        strings TEXT NOT NULL,
        leading INTEGER,
        cut REAL NOT NULL CHECK (cut > 0),
        rest REAL CHECK (rest >= 0),
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (session, number)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE thread (
        thread INTEGER PRIMARY KEY AUTOINCREMENT,
        name TEXT NOT NULL,
        colour TEXT NOT NULL,
        kind TEXT NOT NULL,
        mm REAL NOT NULL CHECK (mm >= 0),
        whole INTEGER NOT NULL CHECK (whole IN (0, 1)),
        price TEXT,
        out INTEGER NOT NULL DEFAULT 0 CHECK (out IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
    CREATE TABLE booking (
        booking INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        why TEXT NOT NULL,
        piece INTEGER,
        threads INTEGER NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
    CREATE TABLE booked (
        booking INTEGER NOT NULL REFERENCES booking,
        thread INTEGER NOT NULL REFERENCES thread,
        before TEXT,
        after TEXT NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (booking, thread)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE cut (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        total INTEGER NOT NULL,
        gauge TEXT NOT NULL,
        colour TEXT NOT NULL,
        strings TEXT NOT NULL,
        leading INTEGER,
        mm REAL NOT NULL CHECK (mm > 0),
        thread INTEGER,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE knot_size (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        wide REAL NOT NULL CHECK (wide > 0),
        high REAL NOT NULL CHECK (high > 0),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
    """,
    """
    DROP TRIGGER event_is_never_changed;
    DROP TRIGGER event_is_never_removed;
    ALTER TABLE event RENAME TO event_before;
    CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy', 'made',
            'change', 'charted')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
    INSERT INTO event SELECT piece, number, at, act, first, last, sum FROM event_before
        WHERE piece IN (SELECT piece FROM piece);
    DROP TABLE event_before;
    CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
    CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
    CREATE TABLE measured (
        piece INTEGER NOT NULL REFERENCES piece,
        string INTEGER NOT NULL,
        done INTEGER NOT NULL,
        mm REAL NOT NULL CHECK (mm >= 0),
        joined INTEGER NOT NULL CHECK (joined IN (0, 1)),
        by_eye INTEGER NOT NULL CHECK (by_eye IN (0, 1)),
        at TEXT NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, string)
    ) STRICT, WITHOUT ROWID;
    """,
    """
    CREATE TABLE new_string (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        string INTEGER NOT NULL,
        step INTEGER NOT NULL,
        colour TEXT NOT NULL,
        mm REAL NOT NULL CHECK (mm > 0),
        thread INTEGER,
        before TEXT,
        at TEXT NOT NULL,
        back TEXT,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE ticked (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        colour TEXT NOT NULL,
        strings TEXT NOT NULL,
        leading INTEGER,
        mm REAL NOT NULL CHECK (mm > 0),
        thread INTEGER,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
    """,
)
"""What each version adds to the one before. Released entries never change; a new version is a new entry.

Some databases of version 2 have one more column in `plan`, so version 3 creates that table again. Version 4 gives new
checksums only to rows that were intact, so that what is damaged stays known as damaged. Version 6 takes over the
entries of logs with their checksums; one that damage gave to a piece that never was is left out: it is missing where
it belonged.
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
