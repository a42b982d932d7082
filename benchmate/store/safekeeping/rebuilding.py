"""Putting a database together from what is intact in others, row by row.

A damaged database may have rows that no statement reaches to change or delete them.
"""

import sqlite3
from collections.abc import Collection, Iterable, Sequence
from contextlib import closing
from typing import NamedTuple

from benchmate.store.checksum import CALLED, OF_THREAD, UNREADABLE, intact
from benchmate.store.inspection import Damage, damage_in, damages_in
from benchmate.store.migrations import migrate
from benchmate.store.thread.intact_rows import IntactRows, cuts_kept


class IntactPart(NamedTuple):
    """All that is intact of a database, in memory, and what is wrong with the rest."""

    connection: sqlite3.Connection
    damages: list[Damage]


def empty_database() -> sqlite3.Connection:
    """A database of this version without pieces, in memory."""
    fresh = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    migrate(fresh)
    return fresh


def take_pieces(into: sqlite3.Connection, source: sqlite3.Connection, pieces: Collection[int]) -> None:
    """Copies pieces, but of what they are whole without only what is intact. Raises `UNREADABLE`."""
    for piece in pieces:
        for table in CALLED:
            _put(into, table, source.execute(f"SELECT * FROM {table} WHERE piece = ?", (piece,)).fetchall())
        for table in "plan", "knot_size", "measured", "new_string", "ticked":
            _put(into, table, source.execute(f"SELECT * FROM {table} WHERE piece = ? AND {intact(table)}", (piece,)))
        _put(into, "cut", cuts_kept(source, piece) or ())


def take_thread(into: sqlite3.Connection, source: sqlite3.Connection) -> None:
    """Copies all that is intact of the box and the gauges. Raises `UNREADABLE`."""
    intact_rows = IntactRows(source)
    for table in OF_THREAD:
        _put(into, table, intact_rows.rows(table))
        # The number of a thread stays its own for good, also of one that was damaged.
        query = "SELECT seq FROM sqlite_sequence WHERE name = ?"
        for (last,) in source.execute(query, (table,)).fetchall():
            into.execute("DELETE FROM sqlite_sequence WHERE name = ?", (table,))
            into.execute("INSERT INTO sqlite_sequence VALUES (?, ?)", (table, last))


def _put(into: sqlite3.Connection, table: str, rows: Iterable[Sequence[object]]) -> None:
    for row in rows:
        into.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row)


def intact_part(content: sqlite3.Connection) -> IntactPart | Damage:
    """All that is intact of a database in memory; or what is wrong with all of it. It is closed unless it is intact."""
    damages = list(damages_in(content))
    if not damages:
        return IntactPart(content, damages)
    damaged = {damage.piece for damage in damages}
    with closing(content):
        whole = next((damage for damage in damages if damage.of_all), None)
        if whole is not None:
            return whole
        fresh = empty_database()
        try:
            numbers = [piece for (piece,) in content.execute("SELECT piece FROM piece")]
            take_pieces(fresh, content, [piece for piece in numbers if piece not in damaged])
            take_thread(fresh, content)
            more = damage_in(fresh)
        except UNREADABLE as error:
            more = Damage(str(error))
    if more is not None:
        fresh.close()
        return more
    return IntactPart(fresh, damages)
