"""Taking back a copy of the database, or one piece of it; what was there before is set aside, not deleted."""

import os
import shutil
import sqlite3
import stat
from collections.abc import Collection
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from benchmate.files.atomic_write import NotWritten, write_atomically
from benchmate.files.safe_text import shown
from benchmate.store.checksum import UNREADABLE, intact
from benchmate.store.errors import NotSaved
from benchmate.store.holders import any_alive
from benchmate.store.inspection import Damage, as_file, damage_in, in_memory, is_ours, version_of
from benchmate.store.migrations import VERSION
from benchmate.store.places import DATABASE, Home
from benchmate.store.reading import Piece, PieceReader
from benchmate.store.safekeeping.copies import ASIDE, RESTORED, known_in, last_change, thread_known_in
from benchmate.store.safekeeping.exchange import is_export
from benchmate.store.safekeeping.rebuilding import empty_database, take_pieces, take_thread

BESIDE = ("", "-journal", "-wal", "-shm")
"""The endings of the database and of what can lie beside it. The database comes first: without it, nothing starts."""
MOST = 2**30
"""The most bytes of a copy."""
INTO = "the database it would go into"
EVERYTHING = "restore everything, without --piece and --box"


def is_own_file(home: Home, file: str) -> bool:
    """True for the database, what can lie beside it, and everything in the folders of the copies and of the locks."""
    path = os.path.realpath(file)
    own = [os.path.realpath(f"{home.database}{end}") for end in BESIDE]
    folders = [os.path.join(os.path.realpath(folder), "") for folder in (home.copies, home.holders)]
    return path in own or any(path.startswith(folder) for folder in folders)


class NoCopy(Exception):
    """A file is no copy that can be restored; the text says why, in one line."""


class OpenElsewhere(Exception):
    """A window is open, and works on the database that would be replaced."""


class Restoration:
    """A copy that was read and found intact, ready to take the place of the database or of some of its pieces."""

    def __init__(self, home: Home, file: Path, numbers: Collection[int] = (), *, box: bool = False) -> None:
        """Reads the copy in `file`. With `numbers` or `box`, these pieces or the box and the gauges alone are taken.

        Raises NoCopy.
        """
        self.home = home
        self._content = _read(file)
        self._numbers = numbers
        self._box = box
        self.touched = last_change(self._content)
        """When the copy was changed last."""
        self.pieces = self._concerned(self._content)
        """What is taken from the copy."""
        for number in numbers:
            if number not in [piece.piece for piece in self.pieces]:
                self.close()
                raise NoCopy(f"it has no piece {number}")
        self.threads = self._threads_concerned(self._content)
        """How many threads are in the box that is taken from it; None where the box stays."""
        if box and not thread_known_in(self._content):
            self.close()
            raise NoCopy("it has no box and no gauges")
        self.pieces_now, self.threads_now = self._concerned_now()
        """What that takes the place of; None when the database is missing or damaged."""

    def close(self) -> None:
        """Lets go of the copy."""
        self._content.close()

    @property
    def _in_part(self) -> bool:
        return bool(self._numbers) or self._box

    def _concerned(self, content: sqlite3.Connection) -> list[Piece]:
        pieces = PieceReader(self.home, content).all()
        return [piece for piece in pieces if not self._in_part or piece.piece in self._numbers]

    def _threads_concerned(self, content: sqlite3.Connection) -> int | None:
        if self._in_part and not self._box:
            return None
        (count,) = content.execute("SELECT count(*) FROM thread WHERE NOT out").fetchone()
        return int(count)

    def _concerned_now(self) -> tuple[list[Piece] | None, int | None]:
        try:
            with closing(in_memory(self.home.database)) as content:
                if damage_in(content):
                    return None, None
                return self._concerned(content), self._threads_concerned(content)
        except UNREADABLE:
            return None, None

    def carry_out(self) -> Path | None:
        """Puts the copy in place; returns the folder where everything that was there before is now.

        Raises OpenElsewhere, NoCopy when a piece cannot be put into the present database, and StoreError; nothing has
        changed then.
        """
        home = self.home
        if any_alive(home.holders):
            raise OpenElsewhere
        restored = self._with_part() if self._in_part else self._content
        # No window is open, so none holds a piece.
        restored.execute("UPDATE piece SET holder = NULL")
        content = as_file(restored)
        moved: list[str] = []
        aside = home.copies / f"{ASIDE}{datetime.now(UTC):%Y-%m-%d-%H%M%S-%f}"
        try:
            home.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            home.copies.mkdir(exist_ok=True, mode=0o700)
            aside.mkdir(mode=0o700)
            # A kill between here and the end leaves no database, and the next start points to this file.
            write_atomically(aside / RESTORED, content)
            for end in BESIDE:
                if os.path.lexists(f"{home.database}{end}"):
                    os.rename(f"{home.database}{end}", f"{aside / home.database.name}{end}")
                    moved.append(end)
            os.rename(aside / RESTORED, home.database)
            for left in home.copies.glob(f"{ASIDE}*/{RESTORED}"):
                left.unlink()
            if not moved:
                aside.rmdir()
        except (OSError, NotWritten) as error:
            if not moved:
                shutil.rmtree(aside, ignore_errors=True)
            why = error.strerror if isinstance(error, OSError) else error
            raise NotSaved(f"The copy cannot be put in place ({why}). Nothing was deleted.") from error
        return aside if moved else None

    def _with_part(self) -> sqlite3.Connection:
        """The present database with these pieces, or the box and the gauges, as the copy has them, in memory."""
        try:
            present = in_memory(self.home.database)
        except UNREADABLE as error:
            raise NoCopy(f"{INTO} cannot be read ({shown(str(error))}); {EVERYTHING}") from error
        with closing(present):
            self._refuse_others(present)
            taken = {piece.piece for piece in self.pieces}
            fresh = empty_database()
            try:
                stay = [piece for (piece,) in present.execute("SELECT piece FROM piece") if piece not in taken]
                take_pieces(fresh, present, stay)
                take_pieces(fresh, self._content, taken)
                take_thread(fresh, self._content if self._box else present)
                damage = damage_in(fresh)
            except UNREADABLE as error:
                damage = Damage(str(error))
        if damage is not None:
            fresh.close()
            raise NoCopy(f"{INTO} has more damage ({shown(damage.why)}); {EVERYTHING}")
        return fresh

    def _refuse_others(self, present: sqlite3.Connection) -> None:
        """Raises NoCopy when an intact piece of the same number is another piece than the one in the copy."""
        query = f"SELECT started FROM piece WHERE piece = ? AND {intact('piece')}"
        for piece in self.pieces:
            with suppress(*UNREADABLE):
                for (started,) in present.execute(query, (piece.piece,)):
                    if started != piece.started:
                        raise NoCopy(f"its piece {piece.piece} is another piece than yours of that number")


def _read(file: Path) -> sqlite3.Connection:
    try:
        found = os.stat(file)
        if stat.S_ISDIR(found.st_mode) and (file / DATABASE).is_file():
            # What was set aside, or another home.
            return _read(file / DATABASE)
        if not stat.S_ISREG(found.st_mode):
            raise NoCopy("this is not a regular file")
        if is_export(file):
            raise NoCopy("this is an export; benchmate pieces --import takes it in")
        if found.st_size > MOST:
            raise NoCopy(f"this file is larger than {MOST >> 20} MB, the most a copy can be")
        content = in_memory(file, alone=True)
    except FileNotFoundError:
        raise NoCopy("no such file") from None
    except OSError as error:
        raise NoCopy(f"this file cannot be read: {error.strerror}") from error
    except UNREADABLE as error:
        raise NoCopy(f"this file cannot be read as a copy of your pieces ({shown(str(error))})") from error
    try:
        if not is_ours(content):
            raise NoCopy("this is not a copy of your pieces")
        if version_of(content) > VERSION:
            raise NoCopy("it was made by a newer version of benchmate; use that version")
        damage = damage_in(content)
        if damage is not None:
            raise NoCopy(f"it is damaged ({shown(damage.why)})")
        if not known_in(content) and not thread_known_in(content):
            raise NoCopy("it has no pieces")
    except BaseException:  # Re-raised whatever it is, but the memory must not stay taken.
        content.close()
        raise
    return content
