"""`python -m tests.faults`: attacks the program and prints the table of what was lost and what was told wrongly.

--short         a few of every kind, in seconds (the default)
--long          all of them, by hand, in an hour or so
--only NAME…    these faults only; each word of NAME is looked for in the names
--seed N        other random attacks
--count N       so many of every kind
--trial N       this one trial of the fault only
--jobs N        at so many in parallel (default: the cores)
"""

import argparse
import sys
from collections.abc import Sequence

from tests.faults import run
from tests.faults.commands import load_all
from tests.faults.registry import FAULTS
from tests.faults.table import HEADS, failures, row
from tests.faults.trial import Fault, Result


def chosen(names: Sequence[str]) -> list[Fault]:
    """The faults whose name contains one of the given ones; all of them when none is given."""
    return [fault for fault in FAULTS if not names or any(name in fault.name for name in names)]


def main(arguments: Sequence[str]) -> int:
    """Prints the table and the failures; returns the exit status: 1 when anything failed."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description="Attacks the program.")
    extent = parser.add_mutually_exclusive_group()
    extent.add_argument("--short", action="store_true", help="a few of every kind, in seconds (the default)")
    extent.add_argument("--long", action="store_true", help="all of them")
    extent.add_argument("--count", type=int, metavar="N", help="so many of every kind")
    extent.add_argument("--trial", type=int, metavar="N", help="this one trial only")
    parser.add_argument("--only", nargs="+", default=[], metavar="NAME", help="faults with this in their name")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="other random attacks (default: 1)")
    parser.add_argument("--jobs", type=int, default=run.CORES, metavar="N", help="in parallel (default: the cores)")
    options = parser.parse_args(arguments)
    faults = chosen(options.only)
    if not faults:
        parser.error(f"no such fault; there are: {'; '.join(fault.name for fault in FAULTS)}")
    load_all()
    print(*HEADS, sep="\n")
    results: list[Result] = []
    for fault in faults:
        count = options.count or (fault.long if options.long else fault.short)
        numbers = range(count) if options.trial is None else [options.trial]
        results.append(run.result_of(fault, numbers, options.seed, options.jobs))
        print(row(results[-1]), flush=True)
    failed = failures(results, options.seed)
    if failed:
        print("", *failed, sep="\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
