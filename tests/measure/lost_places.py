"""`where`: beside `order` on the same design, with a wrong knot too, and how the answer grows."""

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from typing import NamedTuple

from benchmate.craft.design import work_for
from benchmate.craft.knots import Knot
from benchmate.design_files.load import load
from benchmate.families.diagonal.trouble.where import where
from benchmate.families.diagonal.trouble.where_with_one_wrong import where_with_one_wrong
from benchmate.families.diagonal.work import DiagonalWork
from tests.measure.in_process import milliseconds
from tests.measure.sample_charts import SORTS, Size, design_of
from tests.measure.table import Row

BESIDE_ORDER = 3.0
"""The limit for the command, as a multiple of the time of `order`."""
WITH_ONE_WRONG = 2.0
"""The limit for the places that one wrong knot explains, in seconds."""
GROWTH = 3.0
"""The limit for the time of a step in a longer band, as a multiple."""
SIZE = Size(12, 400)
GROWING = (SIZE, Size(24, 400), Size(24, 2_000))

Lost = tuple[DiagonalWork, list[str]]
"""A band, and the colours of its strings as they hang somewhere in it."""


class Extent(NamedTuple):
    """How much to measure: the size of the bands beside `order`, the sizes for the growth, and the runs."""

    size: Size
    growing: Sequence[Size]
    runs: int


QUICK = Extent(SIZE, GROWING[:2], 3)
FULL = Extent(SIZE, GROWING, 9)


def measure(folder: Path, extent: Extent) -> list[Row]:
    """The rows of the table; the medians over the runs."""
    rows: list[Row] = []
    for sort in SORTS:
        file = _written(folder, sort, extent.size)
        (_, seen), (_, otherwise) = _lost(file), _lost(file, with_wrong=True)
        order = milliseconds(["order", "--json", str(file)], extent.runs)
        for what, colours in (("the place", seen), ("with one wrong knot", otherwise)):
            took = milliseconds(["where", str(file), "--json", "--see", " ".join(colours)], extent.runs)
            rows.append(Row(f"where, {extent.size}, {sort}", f"{what} : order", "ms", took, order, BESIDE_ORDER))
    rows += _growth(folder, extent, "where: time a step", _seconds)
    rows += _growth(folder, extent, "where, one wrong knot: time a step", _seconds_with_wrong)
    largest = [_lost(_written(folder, sort, extent.growing[-1]), with_wrong=True) for sort in SORTS]
    slowest = max(map(_seconds_with_wrong, largest))
    part = f"where, {extent.growing[-1]}"
    return [*rows, Row(part, "one wrong knot, slowest sort", "s", slowest, WITH_ONE_WRONG, 1.0)]


def _growth(folder: Path, extent: Extent, part: str, seconds: Callable[[Lost], float]) -> list[Row]:
    """The answer alone, by steps, over all sorts: each size compared with the one before. The fastest runs count."""
    rows: list[Row] = []
    before: float | None = None
    for size in extent.growing:
        lost = [_lost(_written(folder, sort, size), with_wrong=seconds is _seconds_with_wrong) for sort in SORTS]
        least = sum(min(seconds(each) for _ in range(extent.runs)) for each in lost)
        step = 1e6 * least / sum(work.size for work, _ in lost)
        rows.append(Row(part, str(size), "us", step, before, None if before is None else GROWTH))
        before = step
    return rows


def _written(folder: Path, sort: str, size: Size) -> Path:
    file = folder / f"lost-{sort}-{size}.yaml"
    file.write_text(design_of(sort, size), encoding="utf-8")
    return file


def _lost(file: Path, *, with_wrong: bool = False) -> Lost:
    """The strings as they hang after two thirds of the knots; `with_wrong` one of them exchanged its strings."""
    work = work_for(load(str(file)).design)
    assert isinstance(work, DiagonalWork)
    chance, done = Random(file.name), 2 * work.size // 3
    while True:
        made = work
        if with_wrong:
            step = chance.randrange(done)
            made = work.made_otherwise({step: Knot.FORWARD_BACKWARD if work.swapped_at(step) else Knot.FORWARD})
        hanging = made.at_start()
        for number in range(done):
            made.change_places(number, hanging)
        seen = [work.strings[string - 1] for string in hanging]
        if bool(where(work, range(work.size), seen, []).places) is not with_wrong:
            return work, seen
        assert with_wrong


def _seconds(lost: Lost) -> float:
    work, seen = lost
    began = time.perf_counter()
    assert where(work, range(work.size), seen, []).places
    return time.perf_counter() - began


def _seconds_with_wrong(lost: Lost) -> float:
    work, seen = lost
    began = time.perf_counter()
    assert where_with_one_wrong(work, range(work.size), seen, []).places
    return time.perf_counter() - began
