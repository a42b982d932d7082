"""Whether the program runs in a terminal."""

import sys


def at_a_terminal() -> bool:
    """True when standard input and standard output are both a terminal, which the full screen needs."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))
