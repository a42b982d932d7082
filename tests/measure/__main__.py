"""`python -m tests.measure`: measures everything and prints the table.

--quick   one window size, fewer starts and smaller designs: about a minute
--check   exit status 1 when a ratio to a baseline is over its limit
"""

import argparse
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from benchmate.design_files.shelf import shipped
from tests.measure import (
    commands,
    cutting,
    leading_strings,
    listening,
    long_logs,
    long_texts,
    lost_in_pictures_and_braids,
    lost_places,
    mends,
    pictures,
    prompts,
    screens,
    segments,
    voice,
    wrong_knots,
)
from tests.measure.pieces import band, make
from tests.measure.sample_charts import Size
from tests.measure.starting import Scripts
from tests.measure.table import Row, as_text


class Extent(NamedTuple):
    """How much to measure: window sizes, starts of each app, keys, runs of each command, sizes of growing designs.

    `large` is how many knots the large pieces have, `length` that of a long text, in characters, and `pixels` how many
    a large picture has. `planned` are the charts compared with a solver, `growing` those for timing the planning alone,
    of pictures too. `cuttings` are how many of each sort are cut, `prompted` the shipped designs whose prompts are
    spoken.
    """

    windows: Sequence[tuple[int, int]]
    starts: int
    keys: int
    runs: int
    sizes: Sequence[int]
    growth_runs: int
    limits: bool
    large: int
    length: int
    pixels: int
    planned: Sequence[Size]
    growing: Sequence[Size]
    planned_runs: int
    spoken: voice.Extent
    heard: listening.Extent
    logs: Sequence[int]
    cuttings: int
    prompted: Sequence[str]
    wrong: wrong_knots.Extent
    lost: lost_places.Extent
    lost_in_others: lost_in_pictures_and_braids.Extent


QUICK = Extent(
    [(80, 24)],
    starts=4,
    keys=100,
    runs=15,
    sizes=commands.SIZES[1:],
    growth_runs=2,
    limits=False,
    large=20_000,
    length=20_000,
    pixels=9_000_000,
    planned=segments.SIZES[:1],
    growing=segments.GROWING[:2],
    planned_runs=1,
    spoken=voice.QUICK,
    heard=listening.QUICK,
    logs=long_logs.SIZES[:2],
    cuttings=1,
    prompted=prompts.FEW,
    wrong=wrong_knots.QUICK,
    lost=lost_places.QUICK,
    lost_in_others=lost_in_pictures_and_braids.QUICK,
)
FULL = Extent(
    [(80, 24), (120, 36)],
    starts=11,
    keys=150,
    runs=25,
    sizes=commands.SIZES,
    growth_runs=5,
    limits=True,
    large=20_000,
    length=100_000,
    pixels=64_000_000,
    planned=segments.SIZES,
    growing=segments.GROWING,
    planned_runs=3,
    spoken=voice.FULL,
    heard=listening.FULL,
    logs=long_logs.SIZES,
    cuttings=20,
    prompted=[*shipped()],
    wrong=wrong_knots.FULL,
    lost=lost_places.FULL,
    lost_in_others=lost_in_pictures_and_braids.FULL,
)


def measure(extent: Extent) -> list[Row]:
    """Measures everything; returns the rows of the table."""
    rows: list[Row] = []
    large, half = extent.large, extent.large // 2
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        scripts = Scripts(folder)
        made = {
            "100 knots": make(folder, "small", band("Harbour steps", 6, 100), 50),
            f"{large:,} repeated": make(folder, "repeated", band("Harbour steps", 6, 100, repeats=large // 100), half),
            f"{large:,} written out": make(folder, "written", band("Harbour wall", 40, large), half),
            f"{large:,} by segments": make(folder, "segments", band("Harbour wall", 40, large), half, by="segments"),
        }
        apps = screens.subjects(scripts, made)
        for columns, lines in extent.windows:
            figures = screens.measure(apps, columns, lines, extent.starts, extent.keys)
            rows += screens.table(figures, f"{columns}x{lines}")
        rows += commands.soon(scripts, made["100 knots"], extent.runs)
        rows += commands.growth(scripts, folder, extent.sizes, extent.growth_runs)
        rows += long_texts.measure(extent.length, extent.growth_runs)
        rows += pictures.measure(scripts, folder, extent.pixels)
        rows += segments.beside_the_solver(scripts, folder, extent.planned, extent.planned_runs)
        rows += segments.growth(extent.growing, extent.planned_runs)
        rows += leading_strings.growth(extent.growing, extent.planned_runs)
        rows += long_logs.measure(folder, extent.logs)
        rows += cutting.measure(extent.cuttings)
        rows += prompts.measure(extent.prompted, prompts.MOST)
        rows += wrong_knots.measure(scripts, folder, extent.wrong)
        rows += lost_places.measure(folder, extent.lost)
        rows += lost_in_pictures_and_braids.measure(folder, extent.lost_in_others)
        rows += mends.measure(extent.wrong.growing, extent.wrong.runs)
        rows += voice.measure(folder, extent.spoken)
        rows += listening.measure(extent.heard)
        if extent.limits:
            rows += commands.limits(scripts, folder)
    return rows


def main(arguments: Sequence[str]) -> int:
    """Prints the table; returns the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.measure", description="Measures the program.")
    parser.add_argument("--quick", action="store_true", help="fewer and smaller, in about a minute")
    parser.add_argument("--check", action="store_true", help="exit status 1 when a ratio is over")
    options = parser.parse_args(arguments)
    rows = measure(QUICK if options.quick else FULL)
    print(as_text(rows))
    over = [row for row in rows if row.over]
    print(f"{len(over)} over of {sum(bool(row.verdict) for row in rows)} asked")
    return 1 if options.check and over else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
