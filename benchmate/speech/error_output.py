"""The error output of a program that has ended."""

import os
from typing import IO

TAIL = 1000
LONGEST = 160


def last_line(stream: IO[bytes]) -> str:
    """The last line in a file of error output, without control characters and at most `LONGEST` characters long."""

    stream.seek(max(0, stream.seek(0, os.SEEK_END) - TAIL))
    lines = stream.read().decode("utf-8", "replace").split("\n")
    printable = ("".join(filter(str.isprintable, line)).strip() for line in reversed(lines))
    return next(filter(None, printable), "")[:LONGEST].rstrip(".")
