"""Writing a file completely or not at all, even with a full disk, a kill or another program at work."""

import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from benchmate.files.safe_text import shown

STALE_AFTER = 3600.0
"""Seconds after which a temporary file was left behind by a program that was killed."""
_TEMPORARY_ENDING = re.compile(r"\.[0-9a-f]{16}\.new(-journal|-wal|-shm)?")
"""What follows the file's name in the name of a temporary file."""


class NotWritten(Exception):
    """A file could not be written; the text says why, in one line. An existing file is unchanged."""


class AlreadyExists(NotWritten):
    """A file of that name exists."""

    def __init__(self) -> None:
        super().__init__("this file exists already; add --force to overwrite it")


def write_atomically(file: str | Path, data: bytes, *, force: bool = False) -> None:
    """Writes `data` to a file, completely or not at all. Raises AlreadyExists and NotWritten.

    An existing file is replaced only with `force`. Where it is a link, the link's target is replaced.
    """
    target = os.fspath(file)
    try:
        if os.path.lexists(target):
            if force:
                target = os.path.realpath(target)
            _refuse_unless_writable(target, force=force)
        with temporary_beside(target) as temporary:
            with open(temporary, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            if force:
                os.replace(temporary, target)
            else:
                # Unlike a rename, this fails when another program has just created the file.
                os.link(temporary, target)
    except FileExistsError:
        raise AlreadyExists from None
    except OSError as error:
        raise NotWritten(f"this file cannot be written: {shown(error.strerror or str(error))}") from error


def _refuse_unless_writable(file: str, *, force: bool) -> None:
    """Raises NotWritten for a folder, a device or a pipe, and AlreadyExists for a file unless `force`."""
    if os.path.isdir(file):
        raise NotWritten("this is a folder, not a file")
    if not force:
        raise AlreadyExists
    # The superuser could replace a device by a file.
    if os.path.exists(file) and not stat.S_ISREG(os.stat(file).st_mode):
        raise NotWritten("this is a device or a pipe, not a regular file")


@contextmanager
def temporary_beside(file: str | Path) -> Iterator[str]:
    """The name of a new empty file beside `file`, to fill and then move into its place. Raises OSError.

    The name is unique, so nobody else writes to it. The temporary file is removed at the end unless it was moved.
    Temporary files of `file` that killed programs left behind are removed first.
    """
    temporary = f"{os.fspath(file)}.{os.urandom(8).hex()}.new"
    try:
        with open(temporary, "xb") as stream:
            now = os.fstat(stream.fileno()).st_mtime
        _remove_stale(os.fspath(file), now)
        yield temporary
    finally:
        _remove(temporary)


def _remove_stale(file: str, now: float) -> None:
    """Removes what killed programs left; `now` is the time by the clock of the file system, which may differ."""
    folder, name = os.path.split(file)
    for left in os.scandir(folder or "."):
        if left.name.startswith(name) and _TEMPORARY_ENDING.fullmatch(left.name, len(name)):
            with suppress(FileNotFoundError):
                if now - left.stat(follow_symlinks=False).st_mtime > STALE_AFTER:
                    _remove(left.path)


def _remove(file: str) -> None:
    with suppress(OSError):
        os.unlink(file)
