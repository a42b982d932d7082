"""What was cut for a piece."""

import sqlite3
from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.thread.cut_list import Length
from benchmate.store.checksum import intact, seal
from benchmate.store.database import Database
from benchmate.store.errors import explained
from benchmate.store.thread.intact_rows import cuts_kept


class Cut(NamedTuple):
    """A length that was cut for a piece, and the number of the thread in the box it came from, if any."""

    length: Length
    thread: int | None = None


WasCut = tuple[str, list[Cut]]
"""What was cut for a piece: the name of the gauge, and the lengths."""


def cuts_of(database: Database, piece: int) -> tuple[str, list[Cut]] | None:
    """The gauge by which a piece was cut, and its lengths; None where that is not known. Raises StoreError.

    Where a part of it is damaged, it is not known.
    """
    with explained(database.home):
        return cuts_in(database.connection, piece)


def cuts_in(connection: sqlite3.Connection, piece: int) -> tuple[str, list[Cut]] | None:
    """The same, over a connection."""
    rows = cuts_kept(connection, piece)
    if not rows:
        return None
    cuts = [
        Cut(Length(colour, tuple(map(int, strings.split())), mm, leading), thread)
        for *_, colour, strings, leading, mm, thread, _ in rows
    ]
    return rows[0][3], cuts


def ticked_in(connection: sqlite3.Connection, piece: int) -> list[Cut]:
    """The lengths of a piece that were ticked off as cut, while some are still to be cut.

    One whose row is damaged is as if it never had been.
    """
    query = f"SELECT colour, strings, leading, mm, thread FROM ticked WHERE piece = ? AND {intact('ticked')}"
    rows = connection.execute(f"{query} ORDER BY number", (piece,)).fetchall()
    return [
        Cut(Length(colour, tuple(map(int, strings.split())), mm, leading), thread)
        for colour, strings, leading, mm, thread in rows
    ]


def put_ticked(connection: sqlite3.Connection, piece: int, ticked: Sequence[Cut]) -> None:
    """Writes the lengths ticked off in the place of any kept before, inside a transaction."""
    connection.execute("DELETE FROM ticked WHERE piece = ?", (piece,))
    connection.executemany(
        "INSERT INTO ticked (piece, number, colour, strings, leading, mm, thread) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (
                *(piece, number, length.colour, " ".join(map(str, length.strings))),
                *(length.leading, float(length.cut_mm), thread),
            )
            for number, (length, thread) in enumerate(ticked)
        ],
    )
    connection.execute(f"{seal('ticked')} WHERE piece = ?", (piece,))


def put_cuts(connection: sqlite3.Connection, piece: int, gauge: str, cuts: Sequence[Cut]) -> None:
    """Writes the lengths cut for a piece in the place of any kept before, inside a transaction."""
    connection.execute("DELETE FROM cut WHERE piece = ?", (piece,))
    connection.executemany(
        "INSERT INTO cut (piece, number, total, gauge, colour, strings, leading, mm, thread)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (
                *(piece, number, len(cuts), gauge, length.colour, " ".join(map(str, length.strings))),
                *(length.leading, float(length.cut_mm), thread),
            )
            for number, (length, thread) in enumerate(cuts)
        ],
    )
    connection.execute(f"{seal('cut')} WHERE piece = ?", (piece,))
