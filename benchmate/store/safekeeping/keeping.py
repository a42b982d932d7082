"""Making copies of the database: one for each day of work, and one whenever a person asks for it."""

import re
import sqlite3
import time
from contextlib import closing, suppress
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import NamedTuple

from benchmate.files.atomic_write import NotWritten, remove_left_behind, write_atomically
from benchmate.store.errors import Damaged, NotSaved, damaged, explained
from benchmate.store.holders import lock_of
from benchmate.store.inspection import WAIT, Damage, as_file, in_memory, open_to_read, quick_check, version_of
from benchmate.store.migrations import VERSION
from benchmate.store.places import Home
from benchmate.store.safekeeping.copies import (
    copy_files,
    covers,
    known_in,
    last_change,
    read_copy,
    state_of,
    thread_known_in,
)
from benchmate.store.safekeeping.rebuilding import intact_part

COPYING = "copying"
"""The file that is locked while a copy is made."""
DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
GENERATIONS = 10
"""How many days of work have a copy. Older copies are deleted, but only what a newer one knows too."""


class IntactContent(NamedTuple):
    """All that is intact, in memory, and the error for the first damage; whether a piece is damaged."""

    connection: sqlite3.Connection
    error: Damaged | None
    lacks_piece: bool


def intact_content(home: Home) -> IntactContent:
    """Everything saved that is intact, after all of it has been read. Raises StoreError.

    A piece that is damaged is left out, and so is a damaged part of the box, so that the rest can be kept.
    """
    with explained(home):
        found = intact_part(in_memory(home.database))
    if isinstance(found, Damage):
        raise damaged(home, found)
    error = damaged(home, found.damages[0]) if found.damages else None
    return IntactContent(found.connection, error, any(damage.piece is not None for damage in found.damages))


def make_copy(home: Home) -> Path | None:
    """Makes the copy for the day of the last change; None when there is nothing that a copy does not know yet.

    A copy is only replaced by one that knows everything it did. Raises StoreError when the database is damaged or the
    copy cannot be made; when only a part of it is damaged, after a copy of the rest was made.
    """
    with explained(home):
        with suppress(OSError):
            home.holders.mkdir(exist_ok=True, mode=0o700)
        lock = _lock(home.holders / COPYING)
    if lock is None:
        # Another window is making a copy, and takes long.
        return None
    with closing(lock):
        # Where that fails, there is no folder yet, or what is written to it next fails and says so.
        with suppress(OSError):
            remove_left_behind(home.copies, time.time())
        return None if _is_copied(home) else _make_copy(home)


def _lock(file: Path) -> sqlite3.Connection | None:
    """The lock on making copies; waits a little for a copy that is being made, which may lack the last press."""
    until = time.monotonic() + WAIT
    while (lock := lock_of(file)) is None and time.monotonic() < until:
        time.sleep(0.02)
    return lock


def _is_copied(home: Home) -> bool:
    """True when the newest copy has what the database has, as far as their own lists of pieces tell."""
    try:
        newest = copy_files(home)[0]
        with closing(open_to_read(home.database)) as now, closing(open_to_read(newest, alone=True)) as copy:
            return version_of(copy) == VERSION and state_of(copy) == state_of(now) and quick_check(now) is None
    except (sqlite3.Error, IndexError):
        return False


def _make_copy(home: Home) -> Path | None:
    content, damage, _ = intact_content(home)
    with closing(content):
        file = _copied(home, content) if known_in(content) or thread_known_in(content) else None
    if damage is not None:
        raise damage
    return file


def _copied(home: Home, content: sqlite3.Connection) -> Path:
    file = _place_for(home, content, _day(last_change(content)))
    try:
        home.copies.mkdir(exist_ok=True, mode=0o700)
        write_atomically(file, as_file(content), force=True)
        _delete_old(home, content)
    except (OSError, NotWritten) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise NotSaved(
            f"The copy {file} could not be made ({why}). Your pieces are safe. The next start tries again."
        ) from error
    return file


def _day(touched: str) -> str:
    """The day in the name of a copy: that of the last change, and today where that cannot be.

    Otherwise a clock that was once ahead would have all later copies replace one another.
    """
    today = datetime.now(UTC).date().isoformat()
    day = touched[:10]
    return day if DAY.fullmatch(day) and day <= today else today


def _place_for(home: Home, content: sqlite3.Connection, day: str) -> Path:
    """The file of the copy for a day: a new one, or one that knows nothing more."""
    files = (home.copies / f"pieces-{day}{'' if number == 1 else f'-{number}'}.db" for number in count(1))
    return next(file for file in files if not file.exists() or _knows_all_of(content, file))


def _delete_old(home: Home, content: sqlite3.Connection) -> None:
    files = copy_files(home)
    dated = [file for file in files if file != home.old_copy]
    for file in files:
        if file not in dated[:GENERATIONS] and _knows_all_of(content, file):
            file.unlink(missing_ok=True)


def _knows_all_of(content: sqlite3.Connection, file: Path) -> bool:
    """True when nothing would be lost with a copy; never for one that cannot be read."""
    copy = read_copy(file)
    return copy is not None and covers(content, copy)
