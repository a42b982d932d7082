"""Which rows of the box and the gauges are what was written, and what the damaged ones are called.

A damaged row takes nothing with it but what makes no sense without it: what was seen in a session, and a change of the
box, which is undone whole or not at all.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from typing import Any

from benchmate.store.checksum import OF_THREAD, intact

Key = tuple[Any, ...]
"""What tells a row of a table from the others."""
_KEYS = {"seen": "session, number", "left_over": "session, number", "booked": "booking, thread"}
"""The columns that tell the rows of a table apart; `rowid` where it is not here."""
_WORDS = {
    "gauge": "a gauge",
    "session": "what was measured",
    "seen": "what was measured",
    "left_over": "what was left over",
    "thread": "thread {} in the box",
    "booking": "a change of the box",
    "booked": "a change of the box",
}
"""What a person calls a row of each table, with its key."""


class IntactRows:
    """The keys of the intact rows of each table, and what is wrong with the others, in words."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self.keys: dict[str, list[Key]] = {}
        self.damages: list[str] = []
        for table in OF_THREAD:
            checked = _checked(connection, table)
            self.keys[table] = [key for key, is_intact in checked if is_intact]
            words = [_WORDS[table].format(*key) for key, is_intact in checked if not is_intact]
            self.damages += [f"{each} is not what was written" for each in dict.fromkeys(words)]
        self._keep_whole()

    def _keep_whole(self) -> None:
        """Leaves out what makes no sense without a row that is not there."""
        sessions = {session for (session,) in self.keys["session"]}
        seen, left = ([key for key in self.keys[table] if key[0] in sessions] for table in ("seen", "left_over"))
        threads = {thread for (thread,) in self.keys["thread"]}
        booked: dict[int, list[Key]] = {}
        for booking, thread in self.keys["booked"]:
            if thread in threads:
                booked.setdefault(booking, []).append((booking, thread))
        bookings = [
            booking
            for (booking,) in self.keys["booking"]
            if len(booked.get(booking, ())) == self._value("SELECT threads FROM booking WHERE booking = ?", booking)
        ]
        whole = [key for booking in bookings for key in booked.get(booking, ())]
        if not self.damages:
            lost = [
                _WORDS[table]
                for table, kept in (("seen", seen), ("left_over", left), ("booking", bookings), ("booked", whole))
                if len(kept) != len(self.keys[table])
            ]
            self.damages += [f"a part of {words} is missing" for words in dict.fromkeys(lost)]
        self.keys |= {"seen": seen, "left_over": left, "booking": [(booking,) for booking in bookings], "booked": whole}

    def _value(self, query: str, *values: object) -> object:
        (found,) = self._connection.execute(query, values).fetchone()
        return found

    def rows(self, table: str, columns: str = "*") -> Iterator[tuple[Any, ...]]:
        """These columns of the intact rows of a table."""
        return _rows(self._connection, table, columns, self.keys[table] if self.damages else None)


def intact_rows_of(connection: sqlite3.Connection, table: str, columns: str) -> list[tuple[Any, ...]]:
    """These columns of the rows of a table that are intact in themselves, by their number."""
    checked = _checked(connection, table)
    keys = [key for key, is_intact in checked if is_intact]
    return list(_rows(connection, table, columns, None if len(keys) == len(checked) else keys))


def _rows(
    connection: sqlite3.Connection, table: str, columns: str, keys: Sequence[Key] | None
) -> Iterator[tuple[Any, ...]]:
    """These columns of the rows with these keys, or of all."""
    own = _KEYS.get(table, "rowid")
    if keys is None:
        yield from connection.execute(f"SELECT {columns} FROM {table} ORDER BY {own}")
        return
    places = ", ".join("?" * len(own.split(", ")))
    for key in keys:
        yield from connection.execute(f"SELECT {columns} FROM {table} WHERE ({own}) = ({places})", key)


def _checked(connection: sqlite3.Connection, table: str) -> list[tuple[Key, bool]]:
    """The key of every row, and whether it is intact."""
    columns = _KEYS.get(table, "rowid")
    rows = connection.execute(f"SELECT {columns}, {intact(table)} FROM {table} ORDER BY {columns}").fetchall()
    return [(tuple(key), bool(is_intact)) for *key, is_intact in rows]


def cuts_kept(connection: sqlite3.Connection, piece: int) -> list[tuple[Any, ...]] | None:
    """What was cut for a piece, all columns, by number; None where it is not all there as it was written."""
    query = f"SELECT total, {intact('cut')} FROM cut WHERE piece = ? ORDER BY number"
    checked = connection.execute(query, (piece,)).fetchall()
    if any(row != (len(checked), 1) for row in checked):
        return None
    return connection.execute("SELECT * FROM cut WHERE piece = ? ORDER BY number", (piece,)).fetchall()
