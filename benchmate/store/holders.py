"""Who holds a piece: a name for this running program, and a lock on it that dies with the program."""

import os
import sqlite3
import time
from contextlib import suppress
from pathlib import Path

from benchmate.store.database import StoreError

STALE = 24 * 3600.0
"""Seconds after which the lock file of a program that is gone is cleared away."""


class Holder:
    """This running program, as a holder of pieces. Others can tell whether it is still alive by its lock.

    The lock is SQLite's own, on an empty database: the operating system lets go of it when the program dies, whatever
    kills it, and a child that the program has forked does not keep it. It needs no module that is not loaded anyway.
    """

    def __init__(self, folder: Path) -> None:
        self.token = os.urandom(8).hex()
        self._file = _lock_file(folder, self.token)
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            _clear(folder)
            self._lock = _lock(self._file)
        except (OSError, sqlite3.Error) as error:
            raise StoreError(
                f"{folder} cannot be written to ({error}). Make it writable, or set BENCHMATE_HOME."
            ) from error
        if self._lock is None:
            raise StoreError(f"{self._file} is locked by another program.")

    def close(self) -> None:
        """Lets go, and takes the lock file away."""
        if self._lock is not None:
            self._lock.close()
            self._lock = None
            self._file.unlink(missing_ok=True)


def is_alive(folder: Path, token: str) -> bool:
    """True when the program that goes by `token` is still running."""
    file = _lock_file(folder, token)
    if not file.exists():
        return False
    lock = _lock(file)
    if lock is None:
        return True
    lock.close()
    return False


def _lock_file(folder: Path, token: str) -> Path:
    return folder / f"{token}.lock"


def _lock(file: Path) -> sqlite3.Connection | None:
    """A connection that holds the file's lock, or None when another program holds it."""
    connection = sqlite3.connect(file, timeout=0, isolation_level=None)
    try:
        # A journal in a file would outlive a program that is killed.
        connection.execute("PRAGMA journal_mode = MEMORY")
        connection.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as error:
        connection.close()
        if error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY:
            return None
        raise
    return connection


def _clear(folder: Path) -> None:
    for file in folder.glob("*.lock"):
        # A program that is just leaving may take its file away at any moment.
        with suppress(FileNotFoundError):
            if time.time() - file.stat().st_mtime < STALE:
                continue
            lock = _lock(file)
            if lock is not None:
                lock.close()
                file.unlink()
