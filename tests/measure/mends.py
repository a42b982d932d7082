"""`mend`: the slowest of some wrong knots in each sort of band, with every row to come, and how the answer grows."""

import time
from collections.abc import Sequence
from random import Random

from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.trouble.mend import mend
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import row
from tests.measure.pieces import COLOURS
from tests.measure.sample_charts import SORTS, Size, rows_of
from tests.measure.table import Row

MOST = 2.0
"""The limit for the slowest, in seconds."""
GROWTH = 3.0
"""The limit for the time of a step in a larger band, by pairs of strings, as a multiple."""
MISTAKES = 5
"""So many wrong knots, and as often two at once, are measured in each band."""


def measure(sizes: Sequence[Size], runs: int) -> list[Row]:
    """The rows of the table, over all sorts; each size compared with the one before. The fastest runs count."""
    rows: list[Row] = []
    before: float | None = None
    for size in sizes:
        took: list[float] = []
        steps = 0
        for sort in SORTS:
            work = _band(sort, size)
            chance = Random(f"{sort} {size}")
            for count in (1, 2) * MISTAKES:
                made = _mistakes(work, chance, count)
                took.append(min(_seconds(work, made) for _ in range(runs)))
                steps += work.size
        # A look back at what two changes can have done is one at every pair of strings.
        each = 1e9 * sum(took) / (steps * size.strings * (size.strings - 1) / 2)
        rows.append(Row(f"mend, {size}", "every row to come, slowest", "s", max(took), MOST, 1.0))
        rows.append(
            Row(
                f"mend, {size}",
                "time a step and pair of strings",
                "ns",
                each,
                before,
                None if before is None else GROWTH,
            )
        )
        before = each
    return rows


def _band(sort: str, size: Size) -> DiagonalWork:
    chance = Random(f"{sort} {size}")
    strings = tuple(chance.choice(list(COLOURS)) for _ in range(size.strings))
    rows = (row(text, 1 + at % 2) for at, text in enumerate(rows_of(sort, size)))
    return DiagonalWork(Diagonal(strings, tuple(rows)), 1)


def _mistakes(work: DiagonalWork, chance: Random, count: int) -> dict[int, Made]:
    """Wrong knots in the first third of a band, each of which exchanged two strings."""
    steps = chance.sample(range(work.size // 3), count)
    return {step: Knot.FORWARD_BACKWARD if work.swapped_at(step) else Knot.FORWARD for step in steps}


def _seconds(work: DiagonalWork, made: dict[int, Made]) -> float:
    began = time.perf_counter()
    mend(work, made, range(work.size), work.size // 3, work.rows)
    return time.perf_counter() - began
