"""What a program complained of before it ended."""

import os
from typing import IO

TAIL = 1000
LONGEST = 160


def last_words(stream: IO[bytes]) -> str:
    """The last line a program wrote to a file before it ended, safe to show and cut to a fair length."""
    stream.seek(max(0, stream.seek(0, os.SEEK_END) - TAIL))
    lines = stream.read().decode("utf-8", "replace").split("\n")
    printable = ("".join(filter(str.isprintable, line)).strip() for line in reversed(lines))
    return next(filter(None, printable), "")[:LONGEST].rstrip(".")
