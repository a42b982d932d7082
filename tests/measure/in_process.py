"""How long a command takes within this process."""

import contextlib
import io
import time
from collections.abc import Sequence
from statistics import median

from benchmate.cli import main


def milliseconds(words: Sequence[str], runs: int) -> float:
    """The median of so many runs of a command, after one that loads its modules."""
    taken = []
    for _ in range(runs + 1):
        began = time.perf_counter()
        with contextlib.redirect_stdout(io.StringIO()):
            main(words)
        taken.append(1000 * (time.perf_counter() - began))
    return median(taken[1:])
