"""Who holds a piece: a name for this running program, and a lock on it that dies with the program."""

import os
import sqlite3
import time
from contextlib import suppress
from pathlib import Path

from benchmate.store.errors import ELSEWHERE, StoreError

STALE = 24 * 3600.0
"""Seconds after which the lock file of a program that no longer runs is deleted."""


class Holder:
    """This running program as a holder of pieces. Its lock shows others whether it is still running.

    The lock is SQLite's own, on an empty database: the operating system releases it when the program dies, whatever
    kills it, and a forked child does not keep it. SQLite is loaded anyway.
    """

    def __init__(self, folder: Path) -> None:
        self.token = os.urandom(8).hex()
        self._file = _lock_file(folder, self.token)
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            _clear(folder)
            self._lock = lock_of(self._file)
        except (OSError, sqlite3.Error) as error:
            raise StoreError(f"{folder} cannot be written to ({error}). No piece was changed.{ELSEWHERE}") from error
        if self._lock is None:
            raise StoreError(f"{self._file} is locked by another program. No piece was changed. Start benchmate again.")

    def close(self) -> None:
        """Releases the lock and deletes its file."""
        if self._lock is not None:
            self._lock.close()
            self._lock = None
            # A file that stays is locked by nobody, and is deleted later.
            with suppress(OSError):
                self._file.unlink(missing_ok=True)


def is_alive(folder: Path, token: str) -> bool:
    """True while the program with this token is running."""
    file = _lock_file(folder, token)
    if not file.exists():
        return False
    lock = lock_of(file)
    if lock is None:
        return True
    lock.close()
    return False


def any_alive(folder: Path) -> bool:
    """True while any program that can hold a piece is running."""
    return any(is_alive(folder, file.stem) for file in folder.glob("*.lock"))


def _lock_file(folder: Path, token: str) -> Path:
    return folder / f"{token}.lock"


def lock_of(file: Path) -> sqlite3.Connection | None:
    """Locks the file; returns the connection that holds the lock, or None when another program holds it."""
    connection = sqlite3.connect(file, timeout=0, isolation_level=None)
    try:
        # A journal file would outlive a killed program.
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
        # A program that is just closing may delete its file at any moment.

        with suppress(FileNotFoundError):
            if time.time() - file.stat().st_mtime < STALE:
                continue
            lock = lock_of(file)
            if lock is not None:
                lock.close()
                file.unlink()
