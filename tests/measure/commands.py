"""Commands without a screen: how long they take, and how that grows with the design."""

import os
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median

from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from tests.measure.pieces import Made, band, make
from tests.measure.screens import bench, first_frame
from tests.measure.starting import NOTHING, Scripts, changes_of_environment
from tests.measure.table import Row

SOON = 6.0
"""A command's limit, as a multiple of an interpreter that does nothing."""
GROWTH = 1.5
"""The limit for the cost of a knot in a design ten times as large, as a multiple."""
MORE_RUNS = 3
"""The smaller designs are run this many times as often."""
STRINGS = 40
SIZES = (2_000, 20_000, 200_000)
LARGE_ENOUGH = 20_000
"""With this many knots, their cost stands out from the varying start times and can be a baseline."""
FEW = 20
"""The knots of the design whose cost counts as the fixed cost."""


def soon(scripts: Scripts, small: Made, runs: int) -> list[Row]:
    """Each command on a small piece and an interpreter that does nothing, alternately, `runs` times each."""
    design = str(small.design)
    lines = {
        "check": scripts.program("check", design),
        "order --json": scripts.program("order", "--json", design),
        "untie --json": scripts.program("untie", "--json", "--done", str(small.done), "--knot", "1", design),
        "pieces --json": scripts.program("pieces", "--json"),
        "--plain": scripts.program("--plain"),
    }
    nothing = [sys.executable, "-c", NOTHING]
    env = dict(os.environ) | changes_of_environment(small.home)
    samples: dict[str, list[float]] = {name: [] for name in ("nothing", *lines)}
    for at in range(runs + 1):
        for name, argv in {"nothing": nothing, **lines}.items():
            took = _seconds(argv, env)
            if at:  # the first run of each still has to compile its modules
                samples[name].append(1000 * took)
    baseline = median(samples["nothing"])
    part = "command, start to end"
    return [Row(part, f"{name} : python -c pass", "ms", median(samples[name]), baseline, SOON) for name in lines]


def growth(scripts: Scripts, folder: Path, sizes: Sequence[int], runs: int) -> list[Row]:
    """Time and memory of a knot beyond the fixed cost, each size compared with the one before.

    The times are those of the fastest runs: disturbances only make a run longer, and differences of medians would show
    the disturbances more than the knots.
    """
    env = dict(os.environ) | changes_of_environment(folder / "nothing-kept")
    files = {size: _design(folder, STRINGS, size) for size in (FEW, *sizes)}
    rows: list[Row] = []
    for name, words in (("check", ["check"]), ("order --json", ["order", "--json"])):
        times: dict[int, list[float]] = {size: [] for size in files}
        for at in range(runs * MORE_RUNS):
            for size, file in files.items():
                if size <= LARGE_ENOUGH or at < runs:
                    times[size].append(_seconds(scripts.program(*words, str(file)), env))
        peaks = {size: _peak(scripts.peak(*words, str(file)), env) for size, file in files.items()}
        seconds = {size: min(taken) for size, taken in times.items()}
        rows += _growth_rows(f"{name}: time a knot", "us", 1e6, seconds)
        rows += _growth_rows(f"{name}: memory a knot", "byte", 1.0, peaks)
    return rows


def limits(scripts: Scripts, folder: Path) -> list[Row]:
    """The cost of the widest and longest design allowed."""
    text = band("The largest band", MOST_STRINGS, MOST_STEPS)
    made = make(folder, "largest", text, MOST_STEPS // 2)
    part = f"{MOST_STRINGS} strings, {MOST_STEPS:,} steps"
    took = first_frame(bench(scripts, part, made), 80, 24) / 1000
    rows = [Row(part, "follow, half of it tied: start to first frame", "s", took)]
    file, env = str(made.design), dict(os.environ) | changes_of_environment(made.home)
    for name, words in (("check", ["check"]), ("order --json", ["order", "--json"])):
        rows.append(Row(part, f"{name}: time", "s", _seconds(scripts.program(*words, file), env)))
        rows.append(Row(part, f"{name}: memory", "MiB", _peak(scripts.peak(*words, file), env) / 2**20))
    return rows


def _design(folder: Path, strings: int, knots: int) -> Path:
    file = folder / f"band-{strings}-{knots}.yaml"
    file.write_text(band(f"Band of {knots}", strings, knots), encoding="utf-8")
    return file


def _growth_rows(part: str, unit: str, units: float, taken: Mapping[int, float]) -> list[Row]:
    fixed, *sizes = taken
    rows: list[Row] = []
    before: float | None = None
    for size in sizes:
        each = units * (taken[size] - taken[fixed]) / (size - fixed)
        rows.append(Row(part, f"{size:,} knots", unit, each, before, None if before is None else GROWTH))
        before = each if size >= LARGE_ENOUGH else None
    return rows


def _seconds(argv: Sequence[str], env: Mapping[str, str]) -> float:
    began = time.perf_counter()
    subprocess.run(argv, env=env, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - began


def _peak(argv: Sequence[str], env: Mapping[str, str]) -> int:
    """The peak memory of a run, in bytes."""
    run = subprocess.run(
        argv, env=env, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=True
    )
    return 1024 * int(run.stderr.split()[-1])
