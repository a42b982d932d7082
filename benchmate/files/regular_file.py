"""Reading a regular file of limited size, whatever its name leads to."""

import os
import stat

from benchmate.files.safe_text import shown


class CannotRead(Exception):
    """A file cannot be read; the text says why, in one line."""


def read_regular(name: str, most: int) -> bytes:
    """At most `most` + 1 bytes of a regular file; raises CannotRead."""
    # O_NONBLOCK: do not wait for a pipe that nobody writes to. O_BINARY exists on Windows only.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)
    try:
        # Opening a device can have effects, so check before.
        _refuse_unless_regular(os.stat(name).st_mode)
        with open(os.open(name, flags), "rb") as file:
            _refuse_unless_regular(os.fstat(file.fileno()).st_mode)
            return file.read(most + 1)
    except FileNotFoundError:
        message = "no such file"
    except PermissionError:
        message = "no permission to read this file"
    except OSError as error:
        message = f"this file cannot be read: {shown(error.strerror or str(error))}"
    except ValueError:
        message = "no such file: no file name can contain one of these characters"
    raise CannotRead(message)


def _refuse_unless_regular(mode: int) -> None:
    """Raises CannotRead for a folder, a device, a pipe or a socket."""
    if stat.S_ISDIR(mode):
        raise CannotRead("this is a folder, not a file")
    if not stat.S_ISREG(mode):
        raise CannotRead("this is a device or a pipe, not a regular file")
