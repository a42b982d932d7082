"""Temporary folders for the files of speech, all deleted in the end."""

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

from benchmate.speech.strays import kill_with_folder

PREFIX = "benchmate-voice-"
LOG = "log"
"""The file in a helper's folder for the error output of its engine."""
STALE = 24 * 3600.0
"""Seconds after which a folder is deleted where there are no locks to show whether its program is still running."""


class Folder:
    """This program's folder among the system's temporary files, locked while it is open.

    The lock dies with the program, which tells folders of killed programs from those in use. The folder itself is
    locked, because a lock file would keep the last helper from deleting the empty folder.
    """

    def __init__(self) -> None:
        """Also deletes the folders of dead programs, and ends what still plays for them. Raises OSError."""
        place = Path(tempfile.gettempdir())
        _clear(place)
        self.path, self._lock = _locked(place)

    def remove(self) -> None:
        """Deletes the folder with everything in it, and releases the lock."""
        shutil.rmtree(self.path, ignore_errors=True)
        if self._lock is not None:
            os.close(self._lock)
            self._lock = None


def of_helper(place: Path, process: int) -> Path:
    """The folder in `place` of the helper with that process id."""
    return place / f"helper-{process}"


def _locked(place: Path) -> tuple[Path, int | None]:
    while True:
        path = Path(tempfile.mkdtemp(prefix=PREFIX, dir=place))
        if sys.platform == "win32":
            return path, None
        # Until it is locked, another program may think that this folder is abandoned, and delete it.
        try:
            lock = _lock(path)
        except OSError:
            # Not every file system has locks. Without locks, no program deletes the folders of others.
            return path, None
        if lock is not None and path.exists():
            return path, lock
        if lock is not None:
            os.close(lock)


def _lock(path: Path) -> int | None:
    """Locks a folder; None when another program holds the lock or has just deleted the folder. Raises OSError."""

    if sys.platform == "win32":
        return None
    import fcntl

    try:
        lock = os.open(path, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    except FileNotFoundError:
        return None
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        os.close(lock)
        if isinstance(error, BlockingIOError):
            return None
        raise
    return lock


def _clear(place: Path) -> None:
    for path in place.glob(PREFIX + "*"):
        if sys.platform == "win32":
            if time.time() - path.stat().st_mtime > STALE:
                shutil.rmtree(path, ignore_errors=True)
            continue
        try:
            lock = _lock(path)
        except OSError:
            continue
        if lock is not None:
            if os.fstat(lock).st_uid == os.getuid():
                kill_with_folder(path)
                shutil.rmtree(path, ignore_errors=True)
            os.close(lock)
