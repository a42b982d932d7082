"""Writing to a pipe or a device that has a name: all that can be done with them, because they are never replaced."""

import errno
import os
import stat
from collections.abc import Callable

from benchmate.files.atomic_write import DiskFull, NotWritten, not_a_file, not_written

# O_NOCTTY: a terminal that is written to must not become ours. Neither exists on Windows.
_FLAGS = os.O_WRONLY | getattr(os, "O_NOCTTY", 0)
_AT_ONCE = getattr(os, "O_NONBLOCK", 0)


def is_pipe_or_device(file: str) -> bool:
    """True for a named pipe or a character device such as a terminal, or a link to one."""
    try:
        return _takes_text(os.stat(file).st_mode)
    except (OSError, ValueError):
        return False


def write_through(file: str, data: bytes, waiting: Callable[[], None]) -> None:
    """Writes `data` to a pipe or a device. Raises NotWritten.

    A pipe that nobody reads is waited for, as a shell does; `waiting` is called first, to say so.
    """
    try:
        descriptor = _opened(file, waiting)
        try:
            if not _takes_text(mode := os.fstat(descriptor).st_mode):
                raise NotWritten(not_a_file(mode) or "this was a pipe or a device a moment ago; try again")
            os.set_blocking(descriptor, True)
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(descriptor, rest) :]
        finally:
            os.close(descriptor)
    except BrokenPipeError:
        raise NotWritten("the program that reads this pipe ended before all was written") from None
    except OSError as error:
        fault = not_written(error)
        if isinstance(fault, DiskFull):
            fault = DiskFull("disk full; the output is incomplete")
        raise fault from error


def _takes_text(mode: int) -> bool:
    return stat.S_ISFIFO(mode) or stat.S_ISCHR(mode)


def _opened(file: str, waiting: Callable[[], None]) -> int:
    """The descriptor of a pipe or a device, which is neither made nor emptied if something else has its name now."""
    try:
        return os.open(file, _FLAGS | _AT_ONCE)
    except OSError as error:
        if error.errno != errno.ENXIO or not stat.S_ISFIFO(os.stat(file).st_mode):
            raise
    waiting()
    return os.open(file, _FLAGS)
