"""What the program's standard streams are connected to."""

import sys


def at_a_terminal() -> bool:
    """True when both standard input and standard output are a terminal, which the full screen needs."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))
