"""What a long log costs: opening its piece, a press, an undo, the copy made at leaving, the bytes of an entry."""

import os
import time
from collections.abc import Callable, Sequence
from itertools import cycle, islice
from pathlib import Path
from statistics import median

from benchmate import piece_opening as opening
from benchmate.design_files.load import load
from benchmate.store.places import HOME
from tests.measure.pieces import band
from tests.measure.table import Row

SIZES = (10_000, 100_000, 1_000_000)
"""Entries of the logs."""
PRESSES = 40
IN_PROPORTION = 1.5
"""The most by which a cost may grow faster than the log; the rest of what grows is noise."""


def measure(folder: Path, sizes: Sequence[int]) -> list[Row]:
    """The rows of the table; every size is compared with the smallest."""
    design = folder / "log.yaml"
    design.write_text(band("Harbour steps", 6, 100), encoding="utf-8")
    before = os.environ.get(HOME)
    try:
        figures = [_figures(design, folder / f"log-{size}", size) for size in sizes]
    finally:
        if before is None:
            os.environ.pop(HOME, None)
        else:
            os.environ[HOME] = before
    rows: list[Row] = []
    for size, found in zip(sizes, figures, strict=True):
        times = size / sizes[0]
        for what, unit, value, smallest in zip(WHAT, UNITS, found, figures[0], strict=True):
            grows = what in GROWING
            most = None if size == sizes[0] else IN_PROPORTION * times if grows else 2.0
            rows.append(Row("long log", f"{what}, {size:,} entries", unit, value, smallest, most))
    return rows


WHAT = ("open", "press", "undo", "copy at leaving", "an entry")
UNITS = ("ms", "ms", "ms", "ms", "bytes")
GROWING = ("open", "copy at leaving")
"""What may grow with the log."""


def _figures(design: Path, home: Path, size: int) -> tuple[float, ...]:
    os.environ[HOME] = str(home)
    kept = opening.Kept()
    held = opening.begin(kept, load(str(design)), opening.NO_OPTIONS, None).held
    # Ties and undoes one step; an odd number of entries leaves it tied.
    events = islice(cycle([("tie", 0, 0), ("untie", 0, 0)]), size - 1 + size % 2)
    token = kept.holder.token
    kept.pieces.begin(held.title, held.file, held.way, None, held.whole.size, held.copy, token, None, events, 1)
    kept.close()
    opened = median(_seconds(lambda: _open(design).close()) for _ in range(3))
    kept = _open(design)
    try:
        held = opening.resume(kept, kept.pieces.all()[0]).held
        held.hold()
        presses = [(_seconds(held.finish_step), _seconds(held.back)) for _ in range(PRESSES)]
        copied = _seconds(kept.keep_copy)
    finally:
        kept.close()
    tied, untied = (median(times) for times in zip(*presses, strict=True))
    return opened * 1000, tied * 1000, untied * 1000, copied * 1000, (home / "pieces.db").stat().st_size / size


def _open(design: Path) -> opening.Kept:
    kept = opening.Kept()
    opening.follow(kept, str(design), opening.NO_OPTIONS, new=False)
    return kept


def _seconds(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start
