"""What the maker measured of their thread lately, what was left of it, and what was booked for a piece."""

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from typing import NamedTuple

from benchmate.craft.thread.length_to_cut import Length
from benchmate.store.checksum import intact, seal
from benchmate.store.database import Database, opened_to_read
from benchmate.store.errors import explained
from benchmate.store.places import Home

LATELY = 20
"""The most entries in a list of what was measured."""


class Session(NamedTuple):
    """What was recorded at one time: its number, the gauge, when, the piece it is of, and how many measurements."""

    number: int
    gauge: str
    at: str
    piece: int | None
    measurements: int


class Left(NamedTuple):
    """A length as it was cut, and what was left of it: what of each of its ends is to be used again, mm.

    `rest_mm` is None where only the length was corrected, or the answer about it cannot be.
    """

    length: Length
    rest_mm: float | None

    @property
    def ends(self) -> int:
        """How many ends it has."""
        return max(1, len(self.length.strings))


_MEASURED = (
    "SELECT session, gauge, at, piece, (SELECT count(*) FROM seen WHERE seen.session = session.session) FROM session"
    f" WHERE NOT taken_back AND {intact('session')}"
)
_SEEN = "EXISTS (SELECT * FROM seen WHERE seen.session = session.session)"
_STRINGS = (
    "(EXISTS (SELECT * FROM seen WHERE seen.session = session.session AND what IN ('string', 'base'))"
    " OR EXISTS (SELECT * FROM left_over WHERE left_over.session = session.session))"
)


def measured_lately(home: Home) -> list[Session]:
    """What was measured and not taken back, the latest first; read without changing anything. Raises StoreError."""
    connection = opened_to_read(home)
    if connection is None:
        return []
    with closing(connection), explained(home):
        query = f"{_MEASURED} AND {_SEEN} ORDER BY session DESC LIMIT {LATELY}"
        return [Session(*row) for row in connection.execute(query)]


def measured_of(database: Database, piece: int) -> Session | None:
    """What was measured last of the strings of a piece and not taken back. Raises StoreError."""
    with explained(database.home):
        query = f"{_MEASURED} AND piece = ? AND {_STRINGS} ORDER BY session DESC LIMIT 1"
        row = database.connection.execute(query, (piece,)).fetchone()
    return None if row is None else Session(*row)


def booked_for(database: Database, piece: int) -> int | None:
    """The number of the last booking for a piece that was not undone; None where there is none. Raises StoreError."""
    query = f"SELECT booking FROM booking WHERE piece = ? AND NOT undone AND {intact('booking')}"
    with explained(database.home):
        row = database.connection.execute(f"{query} ORDER BY booking DESC LIMIT 1", (piece,)).fetchone()
    return None if row is None else int(row[0])


def left_of(database: Database, piece: int) -> list[Left]:
    """What was left of the lengths of a piece, as it was measured last and not taken back. Raises StoreError.

    What is damaged is left out.
    """
    told = measured_of(database, piece)
    if told is None:
        return []
    query = f"SELECT colour, strings, cut, leading, rest FROM left_over WHERE session = ? AND {intact('left_over')}"
    with explained(database.home):
        rows = database.connection.execute(f"{query} ORDER BY number", (told.number,)).fetchall()
    return [
        Left(Length(colour, tuple(map(int, strings.split())), cut, leading), rest)
        for colour, strings, cut, leading, rest in rows
    ]


def put_left(connection: sqlite3.Connection, session: int, left: Sequence[Left]) -> None:
    """Writes what was left of the lengths of a piece, inside the transaction that keeps the session."""
    rows = []
    for number, (length, rest) in enumerate(left, 1):
        strings = " ".join(map(str, length.strings))
        rest_mm = None if rest is None else float(rest)
        rows.append((session, number, length.colour, strings, length.leading, float(length.cut_mm), rest_mm))
    connection.executemany(
        "INSERT INTO left_over (session, number, colour, strings, leading, cut, rest) VALUES (?, ?, ?, ?, ?, ?, ?)",
        rows,
    )
    connection.execute(f"{seal('left_over')} WHERE session = ?", (session,))
