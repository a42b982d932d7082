"""Reading a file that may be anything: a regular file of a fair size, or one line that says why not."""

import os
import stat

from benchmate.files.words import shown


class CannotRead(Exception):
    """A file cannot be read: one line of plain words."""


def read_regular(name: str, most: int) -> bytes:
    """At most `most` + 1 bytes of a regular file; raises CannotRead."""
    # Not to block on a pipe that nobody writes to; O_BINARY is Windows' own.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)
    try:
        # Opening a device can itself do something, so it is looked at first.
        _refuse_unless_regular(os.stat(name).st_mode)
        with open(os.open(name, flags), "rb") as file:
            _refuse_unless_regular(os.fstat(file.fileno()).st_mode)
            return file.read(most + 1)
    except FileNotFoundError:
        message = "there is no such file"
    except PermissionError:
        message = "this file may not be read: its permissions forbid it"
    except OSError as error:
        message = f"this file cannot be read: {shown(error.strerror or str(error))}"
    except ValueError:
        message = "there is no such file: its name holds a character that no file name can"
    raise CannotRead(message)


def _refuse_unless_regular(mode: int) -> None:
    """Raise CannotRead for a folder, a device, a pipe or a socket."""
    if stat.S_ISDIR(mode):
        raise CannotRead("this is a folder, not a file")
    if not stat.S_ISREG(mode):
        raise CannotRead("this is a device or a pipe, not a regular file")
