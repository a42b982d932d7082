"""The checksum in every row: a function for the database, and the columns it covers."""

import sqlite3
from zlib import crc32

_TEXT = "CAST({} AS BLOB)"


def _with_texts(columns: str, *texts: str) -> str:
    """Columns of which some are covered as bytes: damage may leave a text that is none, and no function can take it."""
    return ", ".join(_TEXT.format(column) if column in texts else column for column in columns.split(", "))


COVERED = {
    "piece": "piece, title, CAST(file AS BLOB), started, touched, done, size, way, from_right, mirrored, planned,"
    " entries, name, aside, deleted, arranged",
    "copy": "piece, number, at, design, start, finish, repeats",
    "event": "piece, number, at, act, first, last",
    "plan": "piece, steps",
    "cut": _with_texts(
        "piece, number, total, gauge, colour, strings, leading, mm, thread", "gauge", "colour", "strings"
    ),
    "knot_size": "piece, wide, high",
    "ticked": _with_texts("piece, number, colour, strings, leading, mm, thread", "colour", "strings"),
    "new_string": _with_texts(
        "piece, number, string, step, colour, mm, thread, before, at, back", "colour", "before", "at", "back"
    ),
    "measured": _with_texts("piece, string, done, mm, joined, by_eye, at", "at"),
    "gauge": _with_texts("name, at, thickness, slippery", "name", "at"),
    "session": _with_texts("session, gauge, at, piece, taken_back", "gauge", "at"),
    "seen": _with_texts("session, number, what, made, carried, stayed, waited, mm", "what"),
    "left_over": _with_texts("session, number, colour, strings, leading, cut, rest", "colour", "strings"),
    "thread": _with_texts("thread, name, colour, kind, mm, whole, price, out", "name", "colour", "kind", "price"),
    "booking": _with_texts("booking, at, why, piece, threads, undone", "at", "why"),
    "booked": _with_texts("booking, thread, before, after", "before", "after"),
}
"""The columns of each table that the checksum in its rows covers: all except the holder of a piece.

A file's path is covered as bytes, because not every path is Unicode.
"""
UNREADABLE = (sqlite3.Error, UnicodeDecodeError)
"""What reading a damaged database raises; the messages of SQLite repeat texts in it that may not be Unicode."""
OF_THREAD = ("gauge", "session", "seen", "left_over", "thread", "booking", "booked")
"""The tables of the box and the gauges, each after those that its rows refer to."""
CALLED = {"piece": "what is listed", "copy": "the design", "event": "the log"}
"""What a person calls the content of each table without which a piece is not whole.

Its plan can be made again, what was cut is only a help, and without a size of its own the leading strings of a picture
are planned by knots of the usual size.
"""


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
