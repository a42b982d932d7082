"""Putting a database together from the pieces of others, row by row.

A damaged database may have rows that no statement reaches to change or delete them.
"""

import sqlite3
from collections.abc import Collection
from contextlib import closing
from typing import NamedTuple

from benchmate.store.checksum import COVERED, intact
from benchmate.store.inspection import UNREADABLE, Damage, damage_in, damages_in
from benchmate.store.migrations import migrate


class IntactPart(NamedTuple):
    """The intact pieces of a database in memory, and what is wrong with the others."""

    connection: sqlite3.Connection
    damages: list[Damage]


def empty_database() -> sqlite3.Connection:
    """A database of this version without pieces, in memory."""
    fresh = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    migrate(fresh)
    return fresh


def take_pieces(into: sqlite3.Connection, source: sqlite3.Connection, pieces: Collection[int]) -> None:
    """Copies pieces, but not plans that are damaged, as these are made again. Raises `UNREADABLE`."""
    for piece in pieces:
        for table in COVERED:
            condition = f"piece = ? AND {intact(table)}" if table == "plan" else "piece = ?"
            for row in source.execute(f"SELECT * FROM {table} WHERE {condition}", (piece,)).fetchall():
                into.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row)


def intact_part(content: sqlite3.Connection) -> IntactPart | Damage:
    """The intact pieces of a database in memory; or what is wrong with all of it. It is closed unless it is intact."""
    damages = list(damages_in(content))
    if not damages:
        return IntactPart(content, damages)
    damaged = {damage.piece for damage in damages}
    with closing(content):
        whole = next((damage for damage in damages if damage.piece is None), None)
        if whole is not None:
            return whole
        fresh = empty_database()
        try:
            numbers = [piece for (piece,) in content.execute("SELECT piece FROM piece")]
            take_pieces(fresh, content, [piece for piece in numbers if piece not in damaged])
            more = damage_in(fresh)
        except UNREADABLE as error:
            more = Damage(str(error))
    if more is not None:
        fresh.close()
        return more
    return IntactPart(fresh, damages)
