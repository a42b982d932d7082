"""`why` beside `order` on the same design, as a whole command and in process, and how its answer grows."""

import os
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from random import Random
from statistics import median
from typing import NamedTuple

from benchmate.craft.design import work_for
from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.design_files.load import load
from benchmate.families.diagonal.trouble.why import why
from benchmate.families.diagonal.work import DiagonalWork
from tests.measure.in_process import milliseconds
from tests.measure.sample_charts import SORTS, Size, design_of
from tests.measure.starting import Scripts, changes_of_environment
from tests.measure.table import Row

BESIDE_ORDER = 3.0
"""The limit for one wrong knot, as a multiple of the time of `order`."""
PAIRS = 2.0
"""The limit for two wrong knots, in seconds."""
GROWTH = 3.0
"""The limit for the time of a step in a larger band, as a multiple; it varies with the mistakes that are measured."""
MISTAKES = 5
"""So many mistakes of a kind are measured in each band, one after the other."""
AMONG_THE_LAST = 3_000
SIZE = Size(12, 400)
LARGEST = Size(24, 2_000)


class Extent(NamedTuple):
    """How much to measure: the sorts of bands of one size beside `order`, the sizes for the growth, and the runs."""

    size: Size
    sorts: Sequence[str]
    growing: Sequence[Size]
    runs: int


QUICK = Extent(SIZE, ("random",), (SIZE, Size(24, 400)), 3)
FULL = Extent(SIZE, (*SORTS,), (SIZE, Size(24, 400), LARGEST), 9)

Question = tuple[DiagonalWork, list[str]]
"""A band, and the colours of its strings as they hang at its end."""


def measure(scripts: Scripts, folder: Path, extent: Extent) -> list[Row]:
    """All rows of the table."""
    beside = beside_order(scripts, folder, extent.size, extent.sorts, extent.runs)
    return beside + growth(folder, extent.growing, extent.sorts, extent.runs)


def beside_order(scripts: Scripts, folder: Path, size: Size, sorts: Sequence[str], runs: int) -> list[Row]:
    """One wrong knot and two, each `runs` times, alternately with `order`; by sort of band."""
    env = dict(os.environ) | changes_of_environment(folder / "nothing-kept")
    rows: list[Row] = []
    for sort in sorts:
        file = _written(folder, sort, size)
        order = ["order", "--json", str(file)]
        one, two = (_words(file, _question(file, wrong, 0)) for wrong in (1, 2))
        whole = [_medians([scripts.program(*each) for each in (order, words)], runs, env) for words in (one, two)]
        alone = milliseconds(order, runs), milliseconds(one, runs)
        part = f"why, {size}, {sort}"
        rows += [
            Row(part, "one wrong knot, whole command : order", "ms", whole[0][1], whole[0][0], BESIDE_ORDER),
            Row(part, "one wrong knot, without the start : order", "ms", alone[1], alone[0], BESIDE_ORDER),
            Row(part, "two wrong knots, whole command", "s", whole[1][1] / 1000, PAIRS, 1.0),
        ]
    return rows


def growth(folder: Path, sizes: Sequence[Size], sorts: Sequence[str], runs: int) -> list[Row]:
    """The answer alone, by steps, over all sorts: each size compared with the one before. The fastest runs count."""
    rows: list[Row] = []
    for wrong, part in ((1, "why, one wrong knot: time a step"), (2, "why, two wrong knots: time a step of the last")):
        before: float | None = None
        for size in sizes:
            questions = [_question(_written(folder, sort, size), wrong, at) for sort in sorts for at in range(MISTAKES)]
            steps = sum(work.size if wrong == 1 else min(work.size, AMONG_THE_LAST) for work, _ in questions)
            least = sum(min(_timed(work, seen) for _ in range(runs)) for work, seen in questions)
            each = 1e6 * least / steps
            rows.append(Row(part, str(size), "us", each, before, None if before is None else GROWTH))
            before = each
    return rows


def _written(folder: Path, sort: str, size: Size) -> Path:
    file = folder / f"wrong-{sort}-{size}.yaml"
    file.write_text(design_of(sort, size), encoding="utf-8")
    return file


def _question(file: Path, wrong: int, seed: int) -> Question:
    """What is seen when so many of the last knots were wrong, where no fewer explain it."""
    work = work_for(load(str(file)).design)
    assert isinstance(work, DiagonalWork)
    chance = Random(f"{file.name} {wrong} {seed}")
    last = range(max(0, work.size - AMONG_THE_LAST), work.size)
    while True:
        made: dict[int, Made] = {step: _other_sides(work, step) for step in chance.sample(last, wrong)}
        seen = [work.strings[string - 1] for string in work.made_otherwise(made).at_end]
        found = why(work, range(work.size), seen, {})
        if found.mistakes and len(found.mistakes[0]) == wrong:
            return work, seen


def _other_sides(work: DiagonalWork, step: int) -> Knot:
    return Knot.FORWARD_BACKWARD if work.swapped_at(step) else Knot.FORWARD


def _words(file: Path, question: Question) -> list[str]:
    work, seen = question
    return ["why", str(file), "--done", str(work.size), "--see", " ".join(seen), "--json"]


def _medians(programs: Sequence[Sequence[str]], runs: int, env: Mapping[str, str]) -> list[float]:
    """Milliseconds of each program, run alternately."""
    samples: list[list[float]] = [[] for _ in programs]
    for _ in range(runs):
        for program, taken in zip(programs, samples, strict=True):
            taken.append(_seconds(partial(subprocess.run, program, env=env, stdout=subprocess.DEVNULL, check=True)))
    return [1000 * median(taken) for taken in samples]


def _timed(work: DiagonalWork, seen: list[str]) -> float:
    return _seconds(lambda: why(work, range(work.size), seen, {}))


def _seconds(run: Callable[[], object]) -> float:
    began = time.perf_counter()
    run()
    return time.perf_counter() - began
