"""`where` in pictures and braids with a wrong step: beside `order` on the same design, and how the answer grows."""

import time
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import NamedTuple

from benchmate.craft.design import work_for
from benchmate.design_files.load import load
from benchmate.families.braid.work import BraidWork
from benchmate.families.registry import trouble_of
from tests.measure.in_process import milliseconds
from tests.measure.sample_charts import Size
from tests.measure.table import Row

BESIDE_ORDER = 3.0
"""The limit for the command, as a multiple of the time of `order`."""
GROWTH = 3.0
"""The limit for the time of a step in a longer design, as a multiple."""
TOLD = 12
"""How many of the last knots of a picture are told."""
COLOURS = ("deep", "foam", "rust")
HEAD = 'benchmate: 1\ntitle: Lost at sea\ncolours: {deep: "#0b3c5d", foam: "#f4f1de", rust: "#b5523b"}\n'
SLOTS = 32


class Lost(NamedTuple):
    """A design of so many steps, and what is seen somewhere in it, which no place shows as charted."""

    file: Path
    steps: int
    seen: Sequence[str] | None
    told: Sequence[str]


class Extent(NamedTuple):
    """How much to measure: the sizes of pictures and the numbers of moves, the first beside `order`; the runs."""

    pictures: Sequence[Size]
    moves: Sequence[int]
    runs: int


QUICK = Extent([Size(12, 400), Size(24, 400)], [500, 2_000], 3)
FULL = Extent([Size(12, 400), Size(24, 400), Size(24, 2_000)], [500, 2_000, 20_000], 9)


def measure(folder: Path, extent: Extent) -> list[Row]:
    """The rows of the table; the medians over the runs."""
    pictures = [_picture(folder, size) for size in extent.pictures]
    braids = [_braid(folder, moves) for moves in extent.moves]
    return [
        *_rows("picture", "pictures", pictures, extent.runs),
        *_rows("braid", "braids", braids, extent.runs),
    ]


def _rows(one: str, many: str, lost_at: Sequence[Lost], runs: int) -> list[Row]:
    lost = lost_at[0]
    order = milliseconds(["order", "--json", str(lost.file)], runs)
    where = milliseconds(["where", str(lost.file), "--json", *_options(lost)], runs)
    rows = [Row(f"where, {one} of {lost.steps:,} steps", "one wrong step : order", "ms", where, order, BESIDE_ORDER)]
    before: float | None = None
    for lost in lost_at:
        step = 1e6 * _seconds(lost, runs)
        limit = None if before is None else GROWTH
        rows.append(Row(f"where, {many}, one wrong: time a step", f"{lost.steps:,} steps", "us", step, before, limit))
        before = step
    return rows


def _options(lost: Lost) -> list[str]:
    if lost.seen is None:
        return ["--knots", " ".join(lost.told)]
    return ["--see", " ".join(f"{slot}:{name}" for slot, name in enumerate(lost.seen, 1) if name)]


def _seconds(lost: Lost, runs: int) -> float:
    """The time of the answer alone, by steps; the fastest run counts."""
    design = load(str(lost.file)).design
    work, trouble = work_for(design), trouble_of(design.family)
    taken = []
    for _ in range(runs):
        began = time.perf_counter()
        found = trouble.where_with_one_wrong(work, range(work.size), lost.seen, lost.told)
        taken.append(time.perf_counter() - began)
        assert found is not None
        assert found.places
    return min(taken) / lost.steps


def _picture(folder: Path, size: Size) -> Lost:
    """A random picture, and its last knots at two thirds of it, one of them in a colour that no place has there."""
    file, chance = folder / f"picture-{size}.yaml", Random(str(size))
    chart = "".join(f"  {''.join(chance.choice('.#r') for _ in range(size.strings))}\n" for _ in range(size.rows))
    file.write_text(
        f'{HEAD}family: alpha\nbase: deep\nkey: {{".": deep, "#": foam, r: rust}}\nchart: |\n{chart}', encoding="utf-8"
    )
    design = load(str(file)).design
    work, trouble = work_for(design), trouble_of(design.family)
    shown = trouble.shown(work, range(work.size))
    while True:
        done = chance.randrange(TOLD, work.size)
        told = [colour for colour in shown[done - TOLD : done] if colour is not None]
        told[chance.randrange(TOLD)] = chance.choice(COLOURS)
        places = trouble.where(work, range(work.size), None, told)
        if places is not None and not places.places:
            return Lost(file, work.size, None, told)


def _braid(folder: Path, moves: int) -> Lost:
    """A random braid with three strands in four slots, and its slots a few moves after one that was left out."""
    file, chance = folder / f"braid-{moves}.yaml", Random(moves)
    filled = chance.sample(range(1, SLOTS + 1), 3 * SLOTS // 4)
    strands = ", ".join(f"{slot}: {chance.choice(COLOURS)}" for slot in filled)
    lies, written = set(filled), []
    for _ in range(moves):
        source, target = chance.choice(sorted(lies)), chance.choice(sorted({*range(1, SLOTS + 1)} - lies))
        lies = lies - {source} | {target}
        written.append(f"{source} > {target}")
    text = f"{HEAD}family: braid\nslots: {SLOTS}\nstrands: {{{strands}}}\nmoves: [{', '.join(written)}]\nrepeats: 1\n"
    file.write_text(text, encoding="utf-8")
    design = load(str(file)).design
    work, trouble = work_for(design), trouble_of(design.family)
    assert isinstance(work, BraidWork)
    colours = {0: "", **work.colours}
    while True:
        left_out = 2 * moves // 3 + chance.randrange(moves // 4)
        hanging = work.at_start()
        for step in range(left_out + 2):
            if step != left_out:
                work.change_places(step, hanging)
        seen = [colours[strand] for strand in hanging]
        places, wrong = (
            find(work, range(work.size), seen, []) for find in (trouble.where, trouble.where_with_one_wrong)
        )
        if places is not None and not places.places and wrong is not None and wrong.places:
            return Lost(file, work.size, seen, [])
