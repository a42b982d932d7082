"""Working by segments: the whole command compared with a solver that finds only the number, its memory, its growth."""

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
from tests.measure.sample_charts import SORTS, Size, design_of, rows_of
from tests.measure.starting import Scripts, changes_of_environment
from tests.measure.table import Row

SOLVED = 1.0
"""The command's time limit, as a multiple of the solver's time."""
MEMORY = 150.0
"""The command's memory limit beyond a bare interpreter, in MB."""
GROWTH = 1.2
"""The limit for the time by n log n (n knots) of a longer chart, as a multiple."""
CHARTS = 5
"""The most charts of a sort to time the planning on; one short chart takes too little time."""
MORE_RUNS = 10
"""The number alone is found this many times as often, as it takes little time."""
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
"""Prints the seconds of the mixed-integer reference on a design, far and near, and of our own search; and the numbers.

The reference is warmed up, so importing its libraries does not count.
"""
BARE = """import sys
with open("/proc/self/status") as status:
    print(next(line for line in status if line.startswith("VmHWM:")).split()[1], file=sys.stderr)
"""
"""An interpreter that only prints its peak memory in KiB."""


class Ran(NamedTuple):
    """A finished run of a program: its seconds and its output."""

    seconds: float
    output: bytes
    errors: bytes


def beside_the_solver(scripts: Scripts, folder: Path, sizes: Sequence[Size], runs: int) -> list[Row]:
    """The whole command and the mixed-integer reference's solving alone, run alternately.

    The reference works in two ways: it searches for a shortest cycle through every join at any distance, or at first
    only four rows ahead, as nearby cycles are nearly always enough. The second is fairly compared only with our search
    for the number, without an order and without starting a program. Raises ValueError when the numbers differ.
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
    """Milliseconds of the whole command and of everything `SOLVING` prints: medians of alternate runs."""
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
    """The planning alone on charts of all sorts: time by n log n (n knots), each size compared with the one before.

    The times are those of the fastest runs: disturbances only make a run longer.
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
    """Nanoseconds by n log2 n (n knots), over all the charts."""
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
    """The peak memory that a program printed, in MB."""
    return 1024 * int(ran.errors.split()[-1]) / 1e6
