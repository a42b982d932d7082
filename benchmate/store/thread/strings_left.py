"""How much was left of the strings of a piece when they were last measured."""

import sqlite3
from collections.abc import Mapping
from typing import NamedTuple

from benchmate.store.checksum import checksum, intact


class MeasuredString(NamedTuple):
    """So much was left of a string, mm, when `done` steps were tied; at a time in UTC as in the log.

    `joined` says that it was a new string that took over then, `by_eye` that its length is an estimate.
    """

    done: int
    mm: float
    joined: bool
    by_eye: bool
    at: str

    def with_more(self, steps: int) -> "MeasuredString":
        """The same where so many more steps were tied by then."""
        return self._replace(done=max(0, self.done + steps))


MeasuredStrings = Mapping[int, MeasuredString]
"""Strings by their numbers."""


def measured_in(connection: sqlite3.Connection, piece: int) -> dict[int, MeasuredString]:
    """The strings of a piece that were measured; one whose row is damaged is as if it never had been."""
    query = (
        f"SELECT string, done, mm, joined, by_eye, at FROM measured WHERE piece = ? AND {intact('measured')}"
        " ORDER BY string"
    )
    rows = connection.execute(query, (piece,)).fetchall()
    return {
        string: MeasuredString(done, mm, bool(joined), bool(by_eye), at)
        for string, done, mm, joined, by_eye, at in rows
    }


def put_measured(connection: sqlite3.Connection, piece: int, measured: MeasuredStrings) -> None:
    """Writes strings in the place of what was measured of them before, inside a transaction."""
    for string, (done, mm, joined, by_eye, at) in measured.items():
        row = piece, string, done, mm, int(joined), int(by_eye)
        total = checksum(*row, at.encode())
        connection.execute("INSERT OR REPLACE INTO measured VALUES (?, ?, ?, ?, ?, ?, ?, ?)", (*row, at, total))


def drop_measured(connection: sqlite3.Connection, piece: int, string: int) -> None:
    """Removes what was measured of a string, inside a transaction."""
    connection.execute("DELETE FROM measured WHERE piece = ? AND string = ?", (piece, string))
