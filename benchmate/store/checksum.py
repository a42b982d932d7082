"""The checksum in every row: a function for the database, and the columns it covers."""

import sqlite3
from zlib import crc32

COVERED = {
    "piece": "piece, title, CAST(file AS BLOB), started, touched, done, size, way, from_right, mirrored, planned,"
    " entries, name, aside, deleted, arranged",
    "copy": "piece, number, at, design, start, finish, repeats",
    "event": "piece, number, at, act, first, last",
    "plan": "piece, steps",
}
"""The columns of each table that the checksum in its rows covers: all except the holder of a piece.

A file's path is covered as bytes, because not every path is Unicode.
"""
CALLED = {"piece": "what is listed", "copy": "the design", "event": "the log"}
"""What a person calls the content of each table."""


def checksum(*values: int | float | str | bytes | None) -> int:
    """The checksum of a row's values.

    `ascii` writes a value the same way in every version of Python, which `repr` does not.
    """
    return crc32(ascii(values).encode())


def add_checksum(connection: sqlite3.Connection) -> None:
    """Makes `checksum(…)` known to a connection."""
    connection.create_function("checksum", -1, checksum, deterministic=True)


def intact(table: str) -> str:
    """The SQL expression that is 1 for a row of `table` that holds what was written to it."""
    return f"sum = checksum({COVERED[table]})"


def seal(table: str) -> str:
    """The SQL that puts the checksum of what they hold now into rows of `table`; a WHERE may follow."""
    return f"UPDATE {table} SET sum = checksum({COVERED[table]})"
