"""Writing a long output in pieces, so that all of it is never in memory at once."""

import sys
from collections.abc import Iterable
from itertools import islice

AT_A_TIME = 1_000
"""How many parts make a piece."""


def write_parts(parts: Iterable[str]) -> None:
    """Writes the parts to standard output, one after the other."""
    left = iter(parts)
    while piece := "".join(islice(left, AT_A_TIME)):
        sys.stdout.write(piece)
