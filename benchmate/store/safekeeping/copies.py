"""The copies of the database: which there are, and what each one knows."""

import os
import re
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from benchmate.files.safe_text import shown
from benchmate.store.checksum import OF_THREAD, UNREADABLE
from benchmate.store.inspection import damage_in, in_memory
from benchmate.store.places import Home
from benchmate.store.thread.intact_rows import IntactRows

NAME = re.compile(r"pieces-(\d{4}-\d\d-\d\d)(?:-(\d+))?\.db")
"""A copy: the day of the last change in it, and a number when that day has more than one."""

ASIDE = "aside-"
"""How the name of a folder begins in which `restore` has set something aside."""
RESTORED = "restored.db"
"""In such a folder: what is about to become the database."""

PieceKey = tuple[int, str]
"""A piece in any copy: its number, and when it was started."""


ThreadKey = tuple[str, int | str]
"""A row of the box or the gauges in any copy: its table, and its number or name there."""
ThreadKnown = tuple[str, int]
"""What a database knows about it: when it was written, and how much of it; taking it back counts as more."""


class Known(NamedTuple):
    """What a database knows about a piece.

    `last` is the checksum of the last entry of its log, `cuts` the number of lengths that were cut for it.
    """

    entries: int
    planned: int
    done: int
    size: int
    arranged: int
    last: int
    cuts: int


class Content(NamedTuple):
    """What a copy has: when it was changed last (UTC, `2026-11-25T07:30:00.000Z`), every piece, the box, the gauges."""

    file: Path
    touched: str
    pieces: Mapping[PieceKey, Known]
    thread: Mapping[ThreadKey, ThreadKnown]

    @property
    def empty(self) -> bool:
        """True when it has nothing at all."""
        return not self.pieces and not self.thread

    @property
    def moment(self) -> str:
        """When it was changed last, for a person."""
        return moment(self.touched)


def moment(touched: str) -> str:
    """A time as a person reads it: `2026-11-25 07:30 UTC`."""
    return f"{shown(touched[:16]).replace('T', ' ')} UTC"


def known_in(connection: sqlite3.Connection) -> dict[PieceKey, Known]:
    """What an intact database knows about each piece."""
    query = (
        "SELECT piece, started, entries, planned, done, size, arranged,"
        " (SELECT sum FROM event WHERE event.piece = piece.piece AND number = entries),"
        " (SELECT count(*) FROM cut WHERE cut.piece = piece.piece) FROM piece"
    )
    return {(piece, started): Known(*rest) for piece, started, *rest in connection.execute(query)}


def thread_known_in(connection: sqlite3.Connection) -> dict[ThreadKey, ThreadKnown]:
    """What a database knows about the box and the gauges, apart from what is damaged.

    Every change of a thread is a booking, so whoever knows the bookings has the threads as they are after them.
    """
    rows = IntactRows(connection)
    known: dict[ThreadKey, ThreadKnown] = {("gauge", name): (at, 0) for name, at in rows.rows("gauge", "name, at")}
    known |= {("thread", thread): ("", 0) for (thread,) in rows.rows("thread", "thread")}
    for table, columns in ("session", "session, at, taken_back"), ("booking", "booking, at, undone"):
        known |= {(table, number): (at, taken_back) for number, at, taken_back in rows.rows(table, columns)}
    for table in "seen", "left_over":
        for (session,) in rows.rows(table, "session"):
            _, count = known.get((table, session), ("", 0))
            known[table, session] = "", count + 1
    return known


def covers(connection: sqlite3.Connection, older: Content) -> bool:
    """True when an intact database knows everything that `older` does, and perhaps more."""
    return covers_thread(thread_known_in(connection), older) and _covers_pieces(connection, older.pieces)


def covers_thread(here: Mapping[ThreadKey, ThreadKnown], older: Content) -> bool:
    """True when who knows what is `here` knows everything about the box and the gauges that `older` does."""
    for key, (at, rank) in older.thread.items():
        now = here.get(key)
        if now is None or now[1] < rank:
            return False
        # What is known of a gauge changes; what was measured and booked stays, and another at that time is another.
        if now[0] < at or (now[0] != at and key[0] != "gauge"):
            return False
    return True


def _covers_pieces(connection: sqlite3.Connection, older: Mapping[PieceKey, Known]) -> bool:
    here = known_in(connection)
    for key, known in older.items():
        if key not in here or here[key].planned < known.planned or here[key].arranged < known.arranged:
            return False
        if known.cuts and not here[key].cuts:
            return False
        query = "SELECT sum FROM event WHERE piece = ? AND number = ?"
        if connection.execute(query, (key[0], known.entries)).fetchone() != (known.last,):
            return False
    return True


def last_change(connection: sqlite3.Connection) -> str:
    """When a database that has anything was changed last."""
    query = "SELECT max(touched) AS at FROM piece"
    query += "".join(f" UNION SELECT max(at) FROM {table}" for table in ("booking", "session", "gauge"))
    (touched,) = connection.execute(f"SELECT coalesce(max(at), '') FROM ({query})").fetchone()
    return str(touched)


def state_of(connection: sqlite3.Connection) -> list[tuple[object, ...]]:
    """What is listed of each piece, and all of the box, the gauges and what was cut.

    Two databases of this version with the same list have the same content.
    """
    found: list[tuple[object, ...]] = []
    for table in ("piece", "cut", *OF_THREAD):
        found += sorted((table, total) for (total,) in connection.execute(f"SELECT sum FROM {table}"))
    return found


def read_copy(file: Path) -> Content | None:
    """What a copy has; None when it cannot be read or is damaged."""
    try:
        with closing(in_memory(file, alone=True)) as connection:
            if damage_in(connection) is not None:
                return None
            return Content(file, last_change(connection), known_in(connection), thread_known_in(connection))
    except (*UNREADABLE, OSError):
        return None


def asides(home: Home) -> list[Path]:
    """The folders in which `restore` has set something aside, the newest first."""
    return sorted(home.copies.glob(f"{ASIDE}*"), reverse=True)


def interrupted(home: Home) -> Iterator[Content]:
    """What was to become the database when `restore` was killed after it had set the one before aside."""
    for aside in asides(home):
        if os.path.lexists(aside / home.database.name) and (found := read_copy(aside / RESTORED)) is not None:
            yield found


def set_aside(home: Home) -> Iterator[Content]:
    """What `restore` has set aside, can be read and is not empty, the newest first."""
    found = (read_copy(aside / home.database.name) for aside in asides(home))
    return (copy for copy in found if copy is not None and not copy.empty)


def copy_files(home: Home) -> list[Path]:
    """The files of all copies, the newest first."""
    try:
        found = [
            (match[1], int(match[2] or 1), name) for name in os.listdir(home.copies) if (match := NAME.fullmatch(name))
        ]
    except OSError:
        found = []
    files = [home.copies / name for _, _, name in sorted(found, reverse=True)]
    return [*files, home.old_copy] if home.old_copy.exists() else files


def intact_copies(home: Home) -> Iterator[Content]:
    """All copies that can be read and are not empty, the newest first."""
    return (copy for copy in map(read_copy, copy_files(home)) if copy is not None and not copy.empty)
