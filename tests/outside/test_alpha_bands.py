"""Alpha bands against a separate construction in numpy, and float or cut against an exhaustive search."""

import json
from itertools import product
from math import hypot
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.families.alpha.body import Alpha, alpha
from benchmate.families.alpha.floats import LONGEST, TAIL, How, pick_up
from benchmate.families.alpha.work import AlphaWork
from tests.charts import seeded
from tests.running import run

COLOURS = ("deep", "foam", "rust")
WIDE, HIGH = 2.45, 1.9
"""The width of a knot and the length of a row, mm: derived from the thickness of the thread, only estimates."""


@st.composite
def bodies(draw: st.DrawFn, most: int = 6) -> Alpha:
    """Small alpha bands of up to three colours, from either side."""
    columns, rows = draw(st.integers(1, most)), draw(st.integers(1, most))
    names = st.sampled_from(COLOURS[: draw(st.integers(1, 3))])
    chart = draw(st.lists(st.lists(names, min_size=columns, max_size=columns), min_size=rows, max_size=rows))
    return alpha("deep", tuple(map(tuple, chart)), draw(st.sampled_from(("left", "right"))))


def back_and_forth(body: Alpha, repeats: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Row by row, as worked: the columns, whether to the right, and the colours."""
    chart = np.tile(np.array(body.rows), (repeats, 1))
    columns = np.tile(np.arange(1, body.columns + 1), (len(chart), 1))
    left_to_right = np.arange(len(chart)) % 2 == (0 if body.first == "left" else 1)
    columns[~left_to_right] = columns[~left_to_right, ::-1]
    colours = np.take_along_axis(chart, columns - 1, axis=1)
    return columns.ravel(), np.repeat(left_to_right, body.columns), colours.ravel()


@given(bodies(), st.integers(1, 3))
@seeded
def test_rows_run_back_and_forth(body: Alpha, repeats: int) -> None:
    work = AlphaWork(body, repeats)
    columns, to_the_right, colours = back_and_forth(body, repeats)
    steps = [work.step(number) for number in range(work.size)]
    assert [step.column for step in steps] == columns.tolist()
    assert [step.knot.value for step in steps] == np.where(to_the_right, "f", "b").tolist()
    assert [body.colour_of(step.leading) for step in steps] == colours.tolist()
    assert [step.row for step in steps] == np.repeat(np.arange(1, work.rows + 1), body.columns).tolist()


@given(bodies(), st.integers(1, 2))
@seeded
def test_rests_on_matches_shared_columns_and_colours(body: Alpha, repeats: int) -> None:
    work = AlphaWork(body, repeats)
    columns, _, colours = back_and_forth(body, repeats)
    below = (columns[:, None] == columns[None, :]) | (colours[:, None] == colours[None, :])
    below &= np.arange(work.size)[:, None] > np.arange(work.size)[None, :]
    ours = np.zeros_like(below)
    for number in range(work.size):
        ours[number, list(work.rests_on(number))] = True
        assert all(number in work.carries(other) for other in work.rests_on(number))
    for _ in range(work.size.bit_length()):
        ours |= (ours.astype(np.int64) @ ours.astype(np.int64)) > 0
        below |= (below.astype(np.int64) @ below.astype(np.int64)) > 0
    assert (ours == below).all()


CHART = """\
benchmate: 1
title: Gull on a post
family: alpha
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
base: deep
key: {".": deep, "#": foam}
chart: |
  .##.
  #..#
  ####
first: right
repeats: 2
"""


def test_the_document_of_order(tmp_path: Path) -> None:
    file = tmp_path / "gull.yaml"
    file.write_text(CHART, encoding="utf-8")
    done = run("order", file, "--json", "--by", "segments", home=tmp_path)
    document = json.loads(done.out)
    body = alpha(
        "deep",
        tuple(tuple({".": "deep", "#": "foam"}[sign] for sign in row) for row in (".##.", "#..#", "####")),
        "right",
    )
    columns, to_the_right, colours = back_and_forth(body, 2)
    runs = np.cumsum(np.append(True, colours[1:] != colours[:-1]))
    expected = [
        {"n": n, "row": (n - 1) // 4 + 1, "column": column, "knot": "f" if right else "b", "knotting": colour}
        | {"passive": column, "run": int(run)}
        for n, (column, right, colour, run) in enumerate(
            zip(columns.tolist(), to_the_right.tolist(), colours.tolist(), runs, strict=True), 1
        )
    ]
    assert document["steps"] == expected
    assert list(document)[:5] == ["title", "family", "by", "strings", "steps"]
    assert (document["by"], document["strings"]) == ("rows", ["deep"] * 4)
    assert document["pickups"] == document["least"] == int(runs[-1])


@given(bodies(4), st.integers(0, 6), st.sampled_from((0.5, 3.0, 90.0)))
@seeded
def test_float_or_cut_costs_the_least_thread(body: Alpha, longest: int, tail: float) -> None:
    work = AlphaWork(body, 1)
    columns, _, colours = back_and_forth(body, 1)
    taken = [pick_up(work, number, longest=longest, tail=tail) for number in range(work.size)]
    # At each further pick-up a string may float or be cut; this tries all choices.
    gaps, new = [], 0
    for number in range(work.size):
        if number and colours[number - 1] == colours[number]:
            assert taken[number] is None
            continue
        before = np.flatnonzero(colours[:number] == colours[number])
        if not len(before):
            new += 1
            continue
        there = int(before[-1])
        across = abs(int(columns[number]) - int(columns[there]))
        along = number // body.columns - there // body.columns
        gaps.append((max(across, along) - 1, hypot(across * WIDE, along * HIGH)))
    gaps = gaps[:10]
    costs = [
        sum(length if floats else 2 * tail for (_, length), floats in zip(gaps, choice, strict=True))
        for choice in product((True, False), repeat=len(gaps))
        if all(not floats or behind <= longest for (behind, _), floats in zip(gaps, choice, strict=True))
    ]
    again = [each for each in taken if each is not None and each.how is not How.NEW]
    assert sum(each.cost for each in again[: len(gaps)]) == pytest.approx(min(costs))
    assert all(each.behind <= longest for each in again if each.how is How.FLOAT)
    assert sum(each is not None and each.how is How.NEW for each in taken) == new


def test_the_usual_limits_are_those_of_common_practice() -> None:
    # Common practice: a float behind more than about five knots snags; tails are 8 to 10 cm.
    assert LONGEST == 5
    assert 80 <= TAIL <= 100
    wide = alpha("a", (("b", *"aaaaaa", "b"),))
    assert [taken.how for taken in (pick_up(AlphaWork(wide, 1), n) for n in (0, 1, 7)) if taken] == [
        How.NEW,
        How.NEW,
        How.CUT,
    ]
    near = alpha("a", (("b", *"aaaaa", "b"),))
    found = pick_up(AlphaWork(near, 1), 6)
    assert found is not None
    assert (found.how, found.behind, found.column) == (How.FLOAT, 5, 1)
