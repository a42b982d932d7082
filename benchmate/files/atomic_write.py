"""Writing a file completely or not at all, even with a full disk, a kill or another program at work."""

import errno
import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from benchmate.files.safe_text import shown

STALE_AFTER = 3600.0
"""Seconds after which a temporary file was left behind by a program that was killed."""
_TEMPORARY = re.compile(r"(.*)\.[0-9a-f]{16}\.new(-journal|-wal|-shm)?", re.DOTALL)
"""The name of a temporary file: that of the file it is for comes first, or the beginning of a long one."""
_MOST_OF_NAME = 100
"""The most bytes of the file's name in that of a temporary file. Whole names have at most 255, on some disks 143."""
_NO_ROOM = (errno.ENOSPC, errno.EDQUOT)


class NotWritten(Exception):
    """A file could not be written; the text says why, in one line. An existing file is unchanged."""


class AlreadyExists(NotWritten):
    """A file of that name exists."""

    def __init__(self, text: str = "this file exists already; add --force to overwrite it") -> None:
        super().__init__(text)


class DiskFull(NotWritten):
    """There is no room for the file."""


def not_written(error: OSError) -> NotWritten:
    """What to raise for the system's `error`."""
    if error.errno in _NO_ROOM:
        return DiskFull("disk full; this file was not written")
    return NotWritten(f"this file cannot be written: {shown(error.strerror or str(error))}")


def write_atomically(file: str | Path, data: bytes, *, force: bool = False) -> None:
    """Writes `data` to a plain file, completely or not at all. Raises AlreadyExists and NotWritten.

    An existing file is replaced only with `force`; its mode is kept, and its owner and group where the system allows
    it. Where it is a link, the link stays and its target is replaced. With `force`, the target of a link that leads
    nowhere is made; without it such a link is refused, because whoever made it may have meant another program's file.
    Folders, devices, pipes and sockets are never replaced.
    """
    target = os.fspath(file)
    try:
        if os.path.lexists(target):
            _refuse_unless_replaceable(target, force=force)
            target = os.path.realpath(target)
        with temporary_beside(target) as temporary:
            with open(temporary, "wb") as stream:
                stream.write(data)
                stream.flush()
                _take_rights(stream.fileno(), target)
                os.fsync(stream.fileno())
            if force:
                os.replace(temporary, target)
            else:
                _move_to_new_name(temporary, target)
    except FileExistsError:
        raise AlreadyExists from None
    except OSError as error:
        raise not_written(error) from error
    except ValueError:
        raise NotWritten("this file cannot be written: no file name can contain one of these characters") from None


def _refuse_unless_replaceable(file: str, *, force: bool) -> None:
    """Raises NotWritten for what is not a plain file, and AlreadyExists for a file or a link unless `force`."""
    try:
        mode = os.stat(file).st_mode
    except FileNotFoundError:
        if not force:
            raise AlreadyExists("this link leads to no file; add --force to make that file") from None
        return
    what = not_a_file(mode)
    if what is not None:
        raise NotWritten(what)
    if not force:
        raise AlreadyExists


def not_a_file(mode: int) -> str | None:
    """What it is instead of a plain file, by its `st_mode`, in one line; None for a plain file."""
    kinds = {
        stat.S_IFDIR: "this is a folder, not a file",
        stat.S_IFSOCK: "this is a socket, not a file",
        stat.S_IFBLK: "this is a disk or another block device, not a file",
        stat.S_IFREG: None,
    }
    return kinds.get(stat.S_IFMT(mode), "this is a device or a pipe, not a regular file")


def _move_to_new_name(temporary: str, target: str) -> None:
    """Gives the complete file `temporary` its name. Raises FileExistsError when that is taken, and OSError."""
    try:
        # Unlike a rename, this fails when another program has just created the file.
        os.link(temporary, target)
    except FileExistsError:
        raise
    except OSError:
        # Not every file system has hard links, and they say so with many errors. Whatever else was wrong fails again.
        _move_without_link(temporary, target)


def _move_without_link(temporary: str, target: str) -> None:
    """Takes the name with an empty file of our own and then puts `temporary` there, so that no half file is ever seen.

    The name is taken only if it is free. A kill between the two leaves an empty file; filling the file under its own
    name would leave half of one.
    """
    with open(target, "xb") as stream:
        ours = os.fstat(stream.fileno())
    try:
        if not _is_still(target, ours):
            raise FileExistsError
        os.replace(temporary, target)
    finally:
        if _is_still(target, ours):
            _remove(target)


def _is_still(file: str, empty: os.stat_result) -> bool:
    """True while nobody has put another file in the place of the `empty` one, nor written to it."""
    try:
        now = os.lstat(file)
    except OSError:
        return False
    return os.path.samestat(empty, now) and now.st_size == 0


@contextmanager
def temporary_beside(file: str | Path) -> Iterator[str]:
    """The name of a new empty file beside `file`, to fill and then move into its place. Raises OSError.

    The name is unique, so nobody else writes to it, and short where that of `file` is long. The temporary file has the
    rights of `file`, but its owner may always write to it; where there is no `file`, it has the usual rights of a new
    one. It is removed at the end unless it was moved. Temporary files of `file` that killed programs left behind are
    removed first.
    """
    folder, name = os.path.split(os.fspath(file))
    while len(os.fsencode(name)) > _MOST_OF_NAME:
        name = name[:-1]
    temporary = os.path.join(folder, f"{name}.{os.urandom(8).hex()}.new")
    try:
        with open(temporary, "xb") as stream:
            now = os.fstat(stream.fileno()).st_mtime
            _take_rights(stream.fileno(), os.fspath(file), stat.S_IRUSR | stat.S_IWUSR)
        remove_left_behind(folder or ".", now, name)
        yield temporary
    finally:
        _remove(temporary)


def _take_rights(descriptor: int, file: str, and_also: int = 0) -> None:
    """Gives an open file the mode of the plain `file`, if there is one, and its owner and group where that is allowed.

    Nobody gets more rights than to `file`, except for the bits `and_also`.
    """
    try:
        old = os.lstat(file)
    except OSError:
        return
    if not stat.S_ISREG(old.st_mode) or not hasattr(os, "fchown"):
        return
    mode = stat.S_IMODE(old.st_mode)
    # Each on its own: many may give a file to another of their groups, and few to another owner.
    for owner, group in ((-1, old.st_gid), (old.st_uid, -1)):
        with suppress(OSError):
            os.fchown(descriptor, owner, group)
    new = os.fstat(descriptor)
    if (new.st_uid, new.st_gid) != (old.st_uid, old.st_gid):
        mode &= ~(stat.S_ISUID | stat.S_ISGID)
    if new.st_gid != old.st_gid:
        # Another group gets no more than everybody.
        mode &= ~stat.S_IRWXG | (mode & stat.S_IRWXO) << 3
    with suppress(OSError):
        os.fchmod(descriptor, mode | and_also)


def remove_left_behind(folder: str | Path, now: float, name: str | None = None) -> None:
    """Removes the temporary files that killed programs left in a folder, of one file or of all. Raises OSError.

    `now` is the time, where possible by the clock of the file system, which may differ.
    """
    try:
        found = list(os.scandir(folder))
    except PermissionError:
        # A folder that may be written to need not be readable.
        return
    for left in found:
        match = _TEMPORARY.fullmatch(left.name)
        if match is not None and name in (None, match[1]):
            with suppress(FileNotFoundError):
                if now - left.stat(follow_symlinks=False).st_mtime > STALE_AFTER:
                    _remove(left.path)


def _remove(file: str) -> None:
    with suppress(OSError):
        os.unlink(file)
