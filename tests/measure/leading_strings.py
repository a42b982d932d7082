"""Planning the leading strings of pictures: how its time grows with the rows."""

import time
from collections.abc import Callable, Sequence
from random import Random

from benchmate.families.alpha.body import Alpha, alpha
from benchmate.families.alpha.work import AlphaWork
from tests.measure.sample_charts import PATCH_PAIRS, PATCH_ROWS, Size
from tests.measure.table import Row

GROWTH = 2.0
"""The limit for the time a knot in a picture of more rows, as a multiple of that in the one before."""
COLOURS = "abcd"


def patches(size: Size, chance: Random) -> Alpha:
    """Patches of one colour each, as in most pictures."""
    across = range(0, size.strings, PATCH_PAIRS)
    colours = [[chance.choice(COLOURS) for _ in across] for _ in range(0, size.rows, PATCH_ROWS)]
    rows = [
        tuple(colours[row // PATCH_ROWS][column // PATCH_PAIRS] for column in range(size.strings))
        for row in range(size.rows)
    ]
    return alpha("a", tuple(rows))


def single_knots(size: Size, chance: Random) -> Alpha:
    """A colour by chance for every knot, as where colours are mixed knot by knot."""
    return alpha("a", tuple(tuple(chance.choice(COLOURS) for _ in range(size.strings)) for _ in range(size.rows)))


SORTS: dict[str, Callable[[Size, Random], Alpha]] = {"patches": patches, "single knots": single_knots}


def growth(sizes: Sequence[Size], runs: int) -> list[Row]:
    """The time a knot for each sort, that of the fastest run, each size compared with the one before."""
    rows: list[Row] = []
    for sort, picture in SORTS.items():
        before: float | None = None
        for size in sizes:
            body = picture(size, Random(f"{sort} {size}"))
            knot = 1e6 * min(_seconds(body) for _ in range(runs)) / (size.strings * size.rows)
            limit = None if before is None else GROWTH
            rows.append(Row(f"plan of leading strings, {sort}: time a knot", str(size), "us", knot, before, limit))
            before = knot
    return rows


def _seconds(body: Alpha) -> float:
    work = AlphaWork(body, 1)
    began = time.perf_counter()
    assert work.plan.strings
    return time.perf_counter() - began
