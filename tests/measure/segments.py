"""Working by segments: the whole command beside a solver that finds no more than the number, its memory, its growth."""

import gc
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from math import log2
from pathlib import Path
from statistics import median
from typing import NamedTuple

from benchmate.craft.orders import by_segments
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.segments import fewest_pickups
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import chart
from tests.measure.charts_of_sorts import SORTS, Size, design_of, rows_of
from tests.measure.starting import Scripts, changes_of_environment
from tests.measure.table import Row

SOLVED = 1.0
"""How many times the solver's own time the command may take from start to end."""
MEMORY = 150.0
"""MB of memory that the command may take over a bare interpreter."""
GROWTH = 1.2
"""How many times as much for each n log n, n knots, a longer chart may take."""
CHARTS = 5
"""How many charts of a sort the planning is timed on at the most, as a short one is done in no time."""
MORE_RUNS = 10
"""How many times as often the number alone is found, which takes a small part of the time."""
SIZES = (Size(24, 200), Size(40, 500))
GROWING = (Size(24, 20), Size(24, 100), Size(24, 200), Size(24, 500))
COMMAND = ("order", "--by", "segments", "--json")
SOLVING = """import gc, sys, time
from benchmate.families.diagonal.segments import fewest_pickups
from benchmate.craft.design import work_for
from benchmate.design_files.load import load
from tests.references import by_mixed_integer
work = work_for(load(sys.argv[1]).design)
near = 2 * len(work.strings)
by_mixed_integer(work, near)
gc.collect()
gc.freeze()
for find in (by_mixed_integer, lambda work: by_mixed_integer(work, near), fewest_pickups):
    began = time.perf_counter()
    fewest = find(work)
    print(time.perf_counter() - began, fewest)
"""
"""The seconds of the mixed-integer reference on a design, far and near, and of our finding the number; and the numbers.

The reference is warmed up, and what its libraries brought along at import costs it nothing.
"""
BARE = """import sys
with open("/proc/self/status") as status:
    print(next(line for line in status if line.startswith("VmHWM:")).split()[1], file=sys.stderr)
"""
"""An interpreter that only says how many KiB it took at most."""


class Ran(NamedTuple):
    """A program that was run: how many seconds from start to end, and what it wrote."""

    seconds: float
    output: bytes
    errors: bytes


def beside_the_solver(scripts: Scripts, folder: Path, sizes: Sequence[Size], runs: int) -> list[Row]:
    """The whole command beside the time the mixed-integer reference takes for the solving alone, in turn.

    The reference works in two ways: seeking a shortest cycle through every join however far it goes, and, knowing that
    nearby ones nearly always do, only four rows ahead at first. That one only our finding of the number, no order and
    no start of a program with it, can be held against. Raises ValueError when the numbers differ.
    """
    env = dict(os.environ) | changes_of_environment(folder / "nothing-kept")
    bare = _peak(_run([sys.executable, "-c", BARE], env))
    rows: list[Row] = []
    for size in sizes:
        part = f"{' '.join(COMMAND)}, {size}"
        files = {sort: folder / f"{sort}-{size}.yaml" for sort in SORTS}
        for sort, file in files.items():
            file.write_text(design_of(sort, size), encoding="utf-8")
            whole, far, near, number = _in_turn(scripts, file, runs, env)
            rows.append(Row(part, f"{sort} : solving alone, cycles however far", "ms", whole, far, SOLVED))
            rows.append(Row(part, f"{sort} : solving alone, cycles nearby first", "ms", whole, near))
            rows.append(Row(part, f"{sort}, number alone : solving alone, nearby first", "ms", number, near, SOLVED))
        for sort, file in files.items():
            over = _peak(_run(scripts.peak(*COMMAND, str(file)), env)) - bare
            rows.append(Row(part, f"{sort}: memory over a bare interpreter", "MB", over, MEMORY, 1.0))
    return rows


def _in_turn(scripts: Scripts, file: Path, runs: int, env: Mapping[str, str]) -> list[float]:
    """Milliseconds of the whole command, and of all that `SOLVING` tells: the medians of so many runs in turn."""
    ours, solver = scripts.program(*COMMAND, str(file)), [sys.executable, "-c", SOLVING, str(file)]
    pickups = json.loads(_run(ours, env).output)["pickups"]
    samples: list[list[float]] = []
    for _ in range(runs):
        command, solving = _run(ours, env), _run(solver, env).output.splitlines()
        seconds, found = zip(*(line.split() for line in solving), strict=True)
        if {int(fewest) for fewest in found} != {pickups}:
            raise ValueError(f"{file}: {pickups} pick-ups, and fewest found: {', '.join(found)}")
        samples.append([command.seconds, *map(float, seconds)])
    return [1000 * median(each) for each in zip(*samples, strict=True)]


def growth(sizes: Sequence[Size], runs: int) -> list[Row]:
    """The planning alone on charts of all sorts: time for each n log n of n knots, each size beside the one before.

    The times are those of the quickest runs: what disturbs a run only ever makes it longer.
    """
    plans: tuple[tuple[str, Callable[[DiagonalWork], object], int], ...] = (
        ("order with the fewest pick-ups", by_segments, runs),
        ("number of the fewest pick-ups", fewest_pickups, runs * MORE_RUNS),
    )
    rows: list[Row] = []
    for name, plan, times in plans:
        before: float | None = None
        for size in sizes:
            bodies = _charts(size, min(CHARTS, sizes[-1].rows // size.rows))
            each = min(_for_each_n_log_n(plan, bodies) for _ in range(times))
            rows.append(
                Row(f"{name}: time by n log n", str(size), "ns", each, before, None if before is None else GROWTH)
            )
            before = each
    return rows


def _charts(size: Size, of_each: int) -> list[Diagonal]:
    strings = " ".join(["a"] * size.strings)
    return [chart(strings, *rows_of(sort, size, seed)) for sort in SORTS for seed in range(of_each)]


def _for_each_n_log_n(plan: Callable[[DiagonalWork], object], bodies: Sequence[Diagonal]) -> float:
    """Nanoseconds for each n log2 n of n knots, over all the charts."""
    bands = [DiagonalWork(body, 1) for body in bodies]
    gc.collect()
    began = time.perf_counter_ns()
    for band in bands:
        plan(band)
    took = time.perf_counter_ns() - began
    return took / sum(band.size * log2(band.size) for band in bands)


def _run(argv: Sequence[str], env: Mapping[str, str]) -> Ran:
    began = time.perf_counter()
    done = subprocess.run(argv, env=env, stdin=subprocess.DEVNULL, capture_output=True, check=True)
    return Ran(time.perf_counter() - began, done.stdout, done.stderr)


def _peak(ran: Ran) -> float:
    """The most MB of memory a program says it took."""
    return 1024 * int(ran.errors.split()[-1]) / 1e6
