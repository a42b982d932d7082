"""Alpha bands against a separate construction in numpy."""

import json
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from benchmate.families.alpha.body import Alpha, alpha
from benchmate.families.alpha.work import AlphaWork
from tests.charts import seeded
from tests.loaded import run

COLOURS = ("deep", "foam", "rust")


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
        | {"passive": column, "run": int(run), "leading": 1 if colour == "deep" else 2}
        for n, (column, right, colour, run) in enumerate(
            zip(columns.tolist(), to_the_right.tolist(), colours.tolist(), runs, strict=True), 1
        )
    ]
    assert document["steps"] == expected
    assert list(document)[:5] == ["title", "family", "by", "strings", "steps"]
    assert (document["by"], document["strings"]) == ("rows", ["deep"] * 4)
    assert document["pickups"] == document["least"] == int(runs[-1])
