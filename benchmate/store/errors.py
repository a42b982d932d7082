"""What can go wrong with the saved data. Every message says what is wrong, what was changed and what to do."""

import os
import shlex
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from benchmate.files.safe_text import shown
from benchmate.store.checksum import UNREADABLE
from benchmate.store.fault_report import write_report
from benchmate.store.inspection import NO_DATABASE, Damage, damages_in_file, in_memory
from benchmate.store.places import Home
from benchmate.store.safekeeping.copies import (
    Content,
    ThreadKey,
    ThreadKnown,
    copy_files,
    covers_thread,
    intact_copies,
    interrupted,
    read_copy,
    set_aside,
    thread_known_in,
)


class StoreError(Exception):
    """The saved data cannot be read or written. The text says what is wrong, what was changed and what to do."""


class NotSaved(StoreError):
    """One change could not be saved; everything saved before is safe."""


class Advised(StoreError):
    """An error that says how to get the data back.

    The commands to run come last in the message, as one line of a shell, so that they can be copied.
    """

    def __init__(self, text: str, advice: str = "", commands: Sequence[str] = ()) -> None:
        """`text` says what is wrong; `advice` is a sentence or, with commands, the beginning of one."""
        self.text, self.advice, self.commands = text, advice, tuple(commands)
        ends = [f"{advice}: {' && '.join(commands)}" if commands else advice]
        super().__init__(" ".join(filter(None, [text, *ends])))


class Damaged(Advised):
    """Saved data is not what was written."""


class Gone(Advised):
    """The database that this window opened is no longer where the next start will look for it."""


class Missing(Advised):
    """The database is missing although it has copies."""


ELSEWHERE = " Make it writable, or set BENCHMATE_HOME to a folder that is."
"""The advice that ends a sentence about a file or folder that cannot be used."""
OTHER_WINDOW = frozenset((sqlite3.SQLITE_BUSY, sqlite3.SQLITE_PROTOCOL, sqlite3.SQLITE_SCHEMA))
NOT_WRITABLE = frozenset((sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_NOLFS))
OUR_FAULTS = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError, sqlite3.Warning)
"""What Python raises at a fault in the program, or at data that is not what the program wrote."""
UNTOUCHED = "Nothing was changed or deleted."
KEPT_FILE = "If you have a file from benchmate keep, benchmate restore takes it back."
NO_COPY = f"No copy of it can be read here. {KEPT_FILE}"
NO_INTACT_COPY = f"None of its copies here is intact. {KEPT_FILE}"
LOST = f"No copy here has it. {KEPT_FILE}"
NO_MEMORY = "Not enough memory. Nothing was changed. Close other programs, then try again."


@contextmanager
def explained(home: Home) -> Iterator[None]:
    """Turns errors of SQLite and Python into StoreErrors that tell a person what to do."""
    try:
        yield
    except MemoryError as error:
        raise NotSaved(NO_MEMORY) from error
    except sqlite3.Error as error:
        raise _store_error(error, home) from error
    except OUR_FAULTS as error:
        raise _damage_or_fault(home, error) from error


def _store_error(error: sqlite3.Error, home: Home) -> StoreError:
    # Errors found by Python's sqlite3 module itself have no code. The low byte of a code is the primary code.
    file = home.database
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    kind, why = code & 0xFF, shown(str(error))
    if kind in NO_DATABASE:
        return damaged(home, Damage(why))
    if kind in OTHER_WINDOW:
        return NotSaved(f"Another window is writing to {file}. Nothing was changed. Try again in a moment.")
    if kind == sqlite3.SQLITE_FULL:
        return NotSaved("Disk full. Nothing was changed. Free some space, then try again.")
    if kind == sqlite3.SQLITE_NOMEM or code == sqlite3.SQLITE_IOERR_NOMEM:
        return NotSaved(NO_MEMORY)
    if kind in NOT_WRITABLE:
        return NotSaved(f"{file} cannot be written to ({why}). Nothing was changed.{ELSEWHERE}")
    if kind == sqlite3.SQLITE_IOERR:
        return NotSaved(
            f"{file} cannot be read or written ({why}). Nothing was changed. Check whether the disk is full or failing."
        )
    return _damage_or_fault(home, error)


def _damage_or_fault(home: Home, error: Exception) -> StoreError:
    """The error for what should not happen: the program is at fault, unless the data proves to be damaged."""
    found = damages_in_file(home.database)
    return damaged(home, found[0]) if found else fault(home, error)


def fault(home: Home, error: Exception) -> StoreError:
    """The error for a fault in the program itself while it used the database; says how to report it."""
    what = shown(f"{type(error).__name__}: {error}").rstrip(".")
    written = write_report(home.fault_report, error)
    sent = str(home.fault_report) if written else "this message, and what you did,"
    return StoreError(
        f"A fault in benchmate itself, not in your work: {what}. Nothing is lost; everything saved before is safe. "
        f"Please report it: send {sent} to whoever gave you benchmate."
    )


def damaged(home: Home, damage: Damage) -> Damaged:
    """The error for damaged data; says how to get it back."""
    found = [] if damage.piece is None else damages_in_file(home.database, rows_only=True)
    # Pieces can be taken back one by one only while the database itself is sound.
    damage = next((each for each in found if each.of_all), damage)
    file, why = home.database, shown(damage.why)
    if damage.beside:
        return _damaged_beside(home, why)
    if damage.piece is None:
        text = f"{file} is damaged ({why}). {UNTOUCHED}"
        for copy in (*intact_copies(home), *set_aside(home)):
            return Damaged(text, *_all_back(copy))
        none = NO_INTACT_COPY if copy_files(home) else NO_COPY
        return Damaged(text, f"{none} To start without it, {_away(file)}")
    text = f"Piece {damage.piece} in {file} is damaged ({why}). {UNTOUCHED}"
    damaged_pieces = {damage.piece, *(each.piece for each in found if not each.beside)}
    for copy in (*intact_copies(home), *set_aside(home)):
        known = {piece: known for (piece, _), known in copy.pieces.items()}
        if damage.piece in known:
            mine = known[damage.piece]
            state = f"as of {copy.moment}, with {mine.done} of {mine.size} steps done"
            # All that are damaged: one alone could not be put beside the others.
            together = [piece for piece in sorted(known) if piece in damaged_pieces]
            options = [word for piece in together for word in ("--piece", str(piece))]
            return Damaged(text, f"To get it back {state}", [command("restore", str(copy.file), *options)])
    return Damaged(text, f"{NO_COPY} Your other pieces can be used; to begin this one again, add --new to follow.")


def _damaged_beside(home: Home, why: str) -> Damaged:
    """The error for a damaged part of the box or the gauges."""
    text = f"A part of your box and gauges in {home.database} is damaged ({why}). {UNTOUCHED} The rest can be used."
    known = _thread_known(home)
    for copy in (*intact_copies(home), *set_aside(home)):
        # The newest copies lack what was damaged when they were made.
        if known is not None and not covers_thread(known, copy):
            advice = f"To get your box and gauges back as of {copy.moment}"
            return Damaged(text, advice, [command("restore", str(copy.file), "--box")])
    return Damaged(text, LOST)


def _thread_known(home: Home) -> Mapping[ThreadKey, ThreadKnown] | None:
    """What the intact part of the database knows about the box and the gauges; None when it cannot be read now."""
    try:
        with closing(in_memory(home.database)) as content:
            return thread_known_in(content)
    except UNREADABLE:
        return None


def missing(home: Home) -> Missing | None:
    """The error for a database that is missing although it has copies; None when it is there or never was."""
    if _has_content(home):
        return None
    error = empty(home)
    # Meanwhile another window may have made the database, and a copy of it.
    return None if error is not None and _has_content(home) else error


def _has_content(home: Home) -> bool:
    try:
        return os.path.getsize(home.database) > 0
    except FileNotFoundError:
        return False


def empty(home: Home) -> Missing | None:
    """The error for a database with nothing in it although it has copies; None when it never had any."""
    text = f"{home.database} is missing or empty. Nothing was changed."
    for copy in (*interrupted(home), *intact_copies(home), *set_aside(home)):
        return Missing(text, *_all_back(copy))
    # There is a folder for copies only once there was something to copy. Earlier versions copied empty databases too.
    if home.copies.is_dir() or any(read_copy(file) is None for file in copy_files(home)):
        keep = f"move {home.folder} to another place; keep it, as a repair may be possible."
        return Missing(text, f"{NO_COPY} To start without it, {keep}")
    return None


def _all_back(copy: Content) -> tuple[str, list[str]]:
    what = "pieces" if copy.pieces else "box and gauges"
    return f"To get your {what} back as of {copy.moment}", [command("restore", str(copy.file))]


def command(*words: str) -> str:
    """A command line for a person to copy."""
    return shlex.join(["benchmate", *words])


def _away(file: Path) -> str:
    names = f"{file.name}-journal, {file.name}-wal and {file.name}-shm"
    return (
        f"move {file.name} to another folder, and {names} if they are beside it; keep them, as a repair may be "
        "possible."
    )
