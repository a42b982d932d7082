"""The copies of the database: which there are, and what each one knows."""

import os
import re
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from benchmate.files.safe_text import shown
from benchmate.store.inspection import UNREADABLE, damage_in, in_memory
from benchmate.store.places import Home

NAME = re.compile(r"pieces-(\d{4}-\d\d-\d\d)(?:-(\d+))?\.db")
"""A copy: the day of the last change in it, and a number when that day has more than one."""

ASIDE = "aside-"
"""How the name of a folder begins in which `restore` has set something aside."""
RESTORED = "restored.db"
"""In such a folder: what is about to become the database."""

PieceKey = tuple[int, str]
"""A piece in any copy: its number, and when it was started."""


class Known(NamedTuple):
    """What a database knows about a piece.

    `last` is the checksum of the last entry of its log.
    """

    entries: int
    planned: int
    done: int
    size: int
    arranged: int
    last: int


class Content(NamedTuple):
    """What a copy has: when it was changed last (UTC, `2026-11-25T07:30:00.000Z`), and every piece."""

    file: Path
    touched: str
    pieces: Mapping[PieceKey, Known]

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
        " (SELECT sum FROM event WHERE event.piece = piece.piece AND number = entries) FROM piece"
    )
    return {(piece, started): Known(*rest) for piece, started, *rest in connection.execute(query)}


def covers(connection: sqlite3.Connection, older: Mapping[PieceKey, Known]) -> bool:
    """True when an intact database knows everything that `older` does, and perhaps more."""
    here = known_in(connection)
    for key, known in older.items():
        if key not in here or here[key].planned < known.planned or here[key].arranged < known.arranged:
            return False
        query = "SELECT sum FROM event WHERE piece = ? AND number = ?"
        if connection.execute(query, (key[0], known.entries)).fetchone() != (known.last,):
            return False
    return True


def last_change(connection: sqlite3.Connection) -> str:
    """When a database with pieces was changed last."""
    (touched,) = connection.execute("SELECT max(touched) FROM piece").fetchone()
    return str(touched)


def state_of(connection: sqlite3.Connection) -> list[tuple[object, ...]]:
    """What is listed of each piece; two databases of this version with the same list have the same pieces."""
    return connection.execute("SELECT piece, sum FROM piece ORDER BY piece").fetchall()


def read_copy(file: Path) -> Content | None:
    """What a copy has; None when it cannot be read or is damaged."""
    try:
        with closing(in_memory(file, alone=True)) as connection:
            if damage_in(connection) is not None:
                return None
            return Content(file, last_change(connection), known_in(connection))
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
    """What `restore` has set aside and can be read, the newest first."""
    found = (read_copy(aside / home.database.name) for aside in asides(home))
    return (copy for copy in found if copy is not None and copy.pieces)


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
    """All copies that can be read and have pieces, the newest first."""
    return (copy for copy in map(read_copy, copy_files(home)) if copy is not None and copy.pieces)
