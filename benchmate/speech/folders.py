"""Folders for what is made while speaking, which nobody finds afterwards."""

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

PREFIX = "benchmate-voice-"
LOG = "log"
"""In a helper's folder: what its engine complained of."""
STALE = 24 * 3600.0
"""Seconds after which a folder is cleared away where nothing tells whether its program is still running."""


class Folder:
    """A folder of this program's in the system's place for such things, locked for as long as it is open.

    The lock dies with the program, so that what a killed one has left can be told from what is in use. It is on the
    folder itself: a file for it would keep the last helper from taking the empty folder away.
    """

    def __init__(self) -> None:
        """Clears away what programs that are gone have left, too. Raises OSError."""
        place = Path(tempfile.gettempdir())
        _clear(place)
        self.path, self._lock = _locked(place)

    def remove(self) -> None:
        """Takes the folder away with all in it, and lets go."""
        shutil.rmtree(self.path, ignore_errors=True)
        if self._lock is not None:
            os.close(self._lock)
            self._lock = None


def of_helper(place: Path, process: int) -> Path:
    """The folder in `place` that the helper of that process id works in."""
    return place / f"helper-{process}"


def _locked(place: Path) -> tuple[Path, int | None]:
    while True:
        path = Path(tempfile.mkdtemp(prefix=PREFIX, dir=place))
        if sys.platform == "win32":
            return path, None
        # Another program may take a folder that is not yet locked for one that was left, and clear it away.
        try:
            lock = _lock(path)
        except OSError:
            # Not every file system has locks. Where there are none nobody takes it for one that was left.
            return path, None
        if lock is not None and path.exists():
            return path, lock
        if lock is not None:
            os.close(lock)


def _lock(path: Path) -> int | None:
    """A lock on a folder, or None when another program holds it, or has just cleared it away. Raises OSError."""
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
                shutil.rmtree(path, ignore_errors=True)
            os.close(lock)
