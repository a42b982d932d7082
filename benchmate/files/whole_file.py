"""Writing a file whole or not at all, whatever happens meanwhile: a full disk, a kill, another program."""

import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from benchmate.files.words import shown

UNFINISHED = 3600.0
"""Seconds after which a file that is not finished yet belongs to a program that was killed."""
_MADE_HERE = re.compile(r"\.[0-9a-f]{16}\.new(-journal|-wal|-shm)?")
"""How the name of an unfinished file goes on after the name of the file it is to become."""


class NotWritten(Exception):
    """A file could not be written: one line of plain words. What was there before is as it was."""


class Exists(NotWritten):
    """There is a file of that name already."""

    def __init__(self) -> None:
        super().__init__("there is such a file already: add --force to write over it")


def write_whole(file: str | Path, data: bytes, *, force: bool = False) -> None:
    """Writes `data` to a file, whole or not at all. Raises Exists and NotWritten.

    A file that exists is left as it is unless `force`; then it is replaced, and where it is a link, what it leads to.
    """
    target = os.fspath(file)
    try:
        if os.path.lexists(target):
            if force:
                target = os.path.realpath(target)
            _refuse_unless_writable(target, force=force)
        with unfinished(target) as fresh:
            with open(fresh, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            if force:
                os.replace(fresh, target)
            else:
                # Unlike a rename this fails when the file has come to be meanwhile.
                os.link(fresh, target)
    except FileExistsError:
        raise Exists from None
    except OSError as error:
        raise NotWritten(f"this file cannot be written: {shown(error.strerror or str(error))}") from error


def _refuse_unless_writable(file: str, *, force: bool) -> None:
    """Raises NotWritten for what is no file, and Exists for a file unless `force`."""
    if os.path.isdir(file):
        raise NotWritten("this is a folder, not a file")
    if not force:
        raise Exists
    # Whoever may do anything would put a file in the place of a device.
    if os.path.exists(file) and not stat.S_ISREG(os.stat(file).st_mode):
        raise NotWritten("this is a device or a pipe, not a regular file")


@contextmanager
def unfinished(file: str | Path) -> Iterator[str]:
    """A new empty file beside `file`, to be filled and then put in its place. Raises OSError.

    Nobody else writes to it, in this program or another. Unless it was put in its place it is removed at the end. What
    killed programs left while they made the same file is removed first.
    """
    fresh = f"{os.fspath(file)}.{os.urandom(8).hex()}.new"
    try:
        with open(fresh, "xb") as stream:
            now = os.fstat(stream.fileno()).st_mtime
        _clear_left(os.fspath(file), now)
        yield fresh
    finally:
        _remove(fresh)


def _clear_left(file: str, now: float) -> None:
    """Takes away what killed programs left; `now` is the moment by the clock of the file system, which may differ."""
    folder, name = os.path.split(file)
    for left in os.scandir(folder or "."):
        if left.name.startswith(name) and _MADE_HERE.fullmatch(left.name, len(name)):
            with suppress(FileNotFoundError):
                if now - left.stat(follow_symlinks=False).st_mtime > UNFINISHED:
                    _remove(left.path)


def _remove(file: str) -> None:
    with suppress(OSError):
        os.unlink(file)
