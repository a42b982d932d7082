"""The benchmarks run and their table is complete. Nothing here checks how long anything took."""

from math import inf

import pytest

from tests.measure import (
    commands,
    cutting,
    keys_pressed,
    leading_strings,
    listening,
    long_texts,
    lost_in_pictures_and_braids,
    lost_places,
    pictures,
    voice,
    wrong_knots,
)
from tests.measure.__main__ import Extent, measure
from tests.measure.sample_charts import SORTS, Size
from tests.measure.table import Row, as_text, p95
from tests.table_sounds import NOISES

PROMPTED = 3 * 3 * 4
"""Figures of prompts: three levels, three presses, four figures; the longest of two levels has a limit."""

WRONG = 3 + 2 * 2
"""Figures of wrong knots: three beside `order`; two at two sizes, of which the first has no limit."""

MENDS = 2 * 2
"""Figures of mends: two at two sizes, one of which has no limit."""

LOST = 2 * len(SORTS) + 2 * 2 + 1
"""Figures of lost places: two for each sort beside `order`; two at two sizes, of which the first has no limit; one."""
LOST_IN_OTHERS = 2 * (1 + 1)
"""Figures of lost places in pictures and braids: one beside `order` and one without a limit for each."""


def test_every_figure_is_measured_and_in_the_table(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes = [200, 2_000, 2_100]
    monkeypatch.setattr(commands, "LARGE_ENOUGH", 2_000)
    growing = [Size(6, 6), Size(6, 12)]
    rows = measure(
        Extent(
            [(80, 24)],
            starts=1,
            keys=2,
            runs=1,
            sizes=sizes,
            growth_runs=1,
            limits=False,
            large=2_000,
            length=2_000,
            pixels=10_000,
            planned=[Size(6, 12)],
            growing=growing,
            planned_runs=1,
            spoken=voice.Extent(presses=2, hour=20),
            heard=listening.Extent(minutes=0.2, presses=2, noises=1),
            logs=(500, 1000),
            cuttings=1,
            prompted=["lesson-1-half-hitches"],
            wrong=wrong_knots.Extent(Size(6, 12), ("random",), growing, runs=1),
            lost=lost_places.Extent(Size(6, 12), growing, runs=1),
            lost_in_others=lost_in_pictures_and_braids.Extent([Size(6, 24)], [60], runs=1),
        )
    )
    figures = {(row.part, row.what) for row in rows}
    large = ("2,000 repeated", "2,000 written out")
    for part in ("start to first frame", "key to frame, p50", "key to frame, p95", "memory at its peak"):
        assert (f"{part}, 80x24", "100 knots : bare app") in figures
        assert all((f"{part}, 80x24", f"{name} : 100 knots") in figures for name in large)
    for command in ("check", "order --json", "untie --json", "pieces --json", "--plain"):
        assert ("command, start to end", f"{command} : python -c pass") in figures
    for figure in ("check: time", "check: memory", "order --json: time", "order --json: memory"):
        assert all((f"{figure} a knot", f"{size:,} knots") in figures for size in sizes)
    for sort in SORTS:
        for figure in (" : solving alone, cycles however far", ": memory over a bare interpreter"):
            assert ("order --by segments --json, 6x12", f"{sort}{figure}") in figures
    for figure in ("order with the fewest pick-ups", "number of the fewest pick-ups"):
        assert all((f"{figure}: time by n log n", str(size)) in figures for size in growing)
    for sort in leading_strings.SORTS:
        assert all((f"plan of leading strings, {sort}: time a knot", str(size)) in figures for size in growing)
    for figure in ("one wrong knot, whole command : order", "two wrong knots, whole command"):
        assert ("why, 6x12, random", figure) in figures
    for figure in ("one wrong knot: time a step", "two wrong knots: time a step of the last"):
        assert all((f"why, {figure}", str(size)) in figures for size in growing)
    for figure in ("where: time a step", "where, one wrong knot: time a step"):
        assert all((figure, str(size)) in figures for size in growing)
    for figure in ("every row to come, slowest", "time a step and pair of strings"):
        assert all((f"mend, {size}", figure) in figures for size in growing)
    for figure in ("call returns", "cut to silence", "key to first sample"):
        assert all(("the voice, 2 presses", f"{figure}, {each}") in figures for each in ("median", "p95", "most"))
    for figure in ("a sound alone", "sounds before words"):
        assert ("the voice, 2 presses", f"key to {figure} : to words alone") in figures
    for figure in ("memory", "open files", "threads", "processes", "temporary files"):
        assert ("an hour of 20 prompts : its first tenth", figure) in figures
    for level in ("full", "short", "sparse"):
        for figure in ("median", "longest", "words, median", "words, most"):
            assert (f"prompts, {level}", f"steps, press knot: {figure}") in figures
    assert all(("cut 60 lengths : tables", sort) in figures for sort in cutting.SORTS)
    long = {(row.part, row.what) for row in long_texts.measure(2_000, 1)}
    assert long <= figures
    assert len(long) == len(long_texts.TEXTS) * len(long_texts.SIZES) == 9
    assert all(("picture of 10,000 pixels: memory", kind) in figures for kind in pictures.KINDS)
    # What is heard of so few sounds may be nothing.
    counts = [row for row in rows if row.part.endswith(("not heard", "in an hour", "same hour", "noise alone"))]
    assert len(counts) == 2 * 4 + 4 + 4 + 2 * len(NOISES)
    heard, spoken = len(counts) + 1, 7 + 10 + PROMPTED
    trouble = WRONG + MENDS + LOST + LOST_IN_OTHERS
    assert (
        len(figures)
        == len(rows)
        == 5 * 4 + 5 + 4 * 3 + 9 + 6 + 4 * 4 + 2 * 2 + 2 * 2 + 3 * 4 + spoken + heard + len(cutting.SORTS) + trouble
    )
    with_verdict = 5 + 5 + 5 + 6 + PROMPTED // 6 + len(cutting.SORTS) + trouble - 7
    assert sum(bool(row.verdict) for row in rows) == 5 * 4 + 5 + 4 + 9 + 6 + 4 * 3 + 2 + 2 + with_verdict
    # These counts do not depend on speed: nothing of the voice may pile up.
    counted = ("open files", "threads", "processes", "temporary files")
    piled_up = [row for row in rows if row.part.startswith("an hour") and row.what in counted and row.over]
    assert piled_up == []
    assert all(row.value > 0 for row in rows if "a knot" not in row.part and row not in counts)
    lines = as_text(rows).splitlines()
    assert len(lines) == 1 + len(rows)
    assert all(row.what in line for row, line in zip(rows, lines[1:], strict=True))


@pytest.mark.parametrize(
    ("value", "baseline", "most", "ratio", "verdict"),
    [
        (30.0, 20.0, 1.5, 1.5, "ok"),
        (31.0, 20.0, 1.5, 1.55, "over"),
        (31.0, 20.0, None, 1.55, ""),
        (31.0, None, 1.5, None, ""),
        (31.0, 0.0, 1.5, inf, "over"),
        (31.0, -1.0, 1.5, inf, "over"),
    ],
)
def test_the_ratio_of_a_figure_to_its_baseline(
    value: float, baseline: float | None, most: float | None, ratio: float | None, verdict: str
) -> None:
    row = Row("part", "what", "ms", value, baseline, most)
    assert row.ratio == ratio
    assert row.verdict == verdict
    assert row.over == (verdict == "over")


def test_few_keys_lead_to_the_first_right_move_in_every_shipped_band() -> None:
    found = [each for each in keys_pressed.measured(2, seed=1) if each.keys]
    assert len({each.design for each in found}) > 20
    assert {each.strings for each in found} == {True, False}
    most = max(found, key=lambda each: len(each.keys))
    assert len(most.keys) <= keys_pressed.MOST, most


def test_the_95th_percentile() -> None:
    assert p95([7.0]) == 7.0
    assert p95([float(number) for number in range(101)]) == pytest.approx(95.0)
