"""The arrow for the way of the string: bold, with a head that is one, at every size."""

import re
from itertools import pairwise

import pytest

from benchmate.bench.zones import current_step
from benchmate.bench.zones.arrow import LEAST_ACROSS, LEAST_THERE_AND_BACK, arrow
from benchmate.bench.zones.room import room_for
from benchmate.craft.knots import Knot
from benchmate.display.cells import Line
from tests.screen.benches import text_of
from tests.unit.test_large_type import half_cells

INK, GROUND = "#000000", "#f4f1de"
SIDES = [True, False]


def grid(from_left: bool, swaps: bool, width: int, height: int) -> list[str]:
    """The half-cells of the arrow as rows of `#` and `.`; one from the right mirrored, so all start at the left."""
    lines = arrow(from_left, swaps, width, height, INK, GROUND)
    rows = half_cells(tuple(text_of(lines).split("\n")))
    assert {len(row) for row in rows} == {2 * width}
    assert len(rows) == 2 * height
    return rows if from_left else [row[::-1] for row in rows]


def inked(rows: list[str], column: int) -> list[int]:
    """The rows with ink in a column."""
    return [at for at, row in enumerate(rows) if row[column] == "#"]


def legs(rows: list[str], column: int) -> list[tuple[int, int]]:
    """The stretches of ink in a column: the first row of each, and how many rows."""
    text = "".join(row[column] for row in rows)
    return [(found.start(), len(found.group())) for found in re.finditer("#+", text)]


def check_head(rows: list[str], columns: range, shaft: int) -> None:
    """From its point along `columns` the head gets higher, to its base, where it is highest; then comes the shaft."""
    heights = [len(inked(rows, column)) for column in columns]
    base = heights.index(max(heights))
    assert heights[0] == 1, "a point"
    while base + 1 < len(heights) and heights[base + 1] == heights[base]:
        base += 1
    assert all(one <= other for one, other in pairwise(heights[: base + 1]))
    assert heights[base] >= shaft + 2, "barbs on both sides"
    assert base + 1 >= heights[base], "as long as it is high, or longer"
    assert heights[base + 1] == shaft, "the base is straight"
    middles = {sum(inked(rows, column)) / len(inked(rows, column)) for column in columns[: base + 2]}
    assert len(middles) == 1, "symmetrical"


@pytest.mark.parametrize("from_left", SIDES)
@pytest.mark.parametrize("height", [3, 4, 5, 6, 8, 11, 15, 20])
def test_across(from_left: bool, height: int) -> None:
    for width in (*range(LEAST_ACROSS[0], 60, 3), 80, 101, 150, 213, 296):
        if width < 2 * height:
            continue
        rows = grid(from_left, True, width, height)
        assert not inked(rows, 0) or len(inked(rows, 0)) >= 3
        (shaft,) = legs(rows, 0)
        assert shaft[1] >= 3, "bold"
        assert shaft[1] >= height // 2 - 1
        check_head(rows, range(2 * width - 1, -1, -1), shaft[1])
        tip = inked(rows, 2 * width - 1)
        assert tip, "the head is at the end"
        assert abs(tip[0] - (shaft[0] + shaft[1] // 2)) == 0


@pytest.mark.parametrize("from_left", SIDES)
@pytest.mark.parametrize("height", [5, 6, 7, 8, 9, 12, 15, 20, 26])
def test_there_and_back(from_left: bool, height: int) -> None:
    for width in (*range(LEAST_THERE_AND_BACK[0], 60, 3), 80, 101, 133):
        if height > width // 2 + 1:
            continue
        rows = grid(from_left, False, width, height)
        # Between the head and the turn there are two legs, clearly apart.
        lower = {at: legs(rows, at)[1][1] for at in range(2 * width) if len(legs(rows, at)) == 2}
        head = max(lower, key=lambda at: (lower[at], at))
        there, back = legs(rows, head + 1)
        assert there[1] >= 3
        assert back[1] == there[1]
        assert back[0] - (there[0] + there[1]) >= max(1, there[1] // 2)
        # The turn joins them at the far side; nothing else does.
        turn = [at for at in range(2 * width) if at > head and len(legs(rows, at)) == 1]
        assert turn
        assert turn == list(range(turn[0], 2 * width))
        assert legs(rows, turn[0])[0][0] <= back[0]
        # The head is at the end of the second leg, further back than the first leg begins.
        assert inked(rows, 0)
        assert back[0] <= inked(rows, 0)[0] < back[0] + back[1]
        below = [row if at > there[0] + there[1] else "." * len(row) for at, row in enumerate(rows)]
        check_head(below, range(2 * width), back[1])


@pytest.mark.parametrize("height", [12, 16, 20, 24, 36, 48, 60, 80, 100])
def test_every_window_from_the_smallest_shows_the_arrow(monkeypatch: pytest.MonkeyPatch, height: int) -> None:
    made: list[tuple[bool, bool, int, int, list[str]]] = []

    def recorded(from_left: bool, swaps: bool, width: int, height: int, ink: str, ground: str) -> tuple[Line, ...]:
        lines = arrow(from_left, swaps, width, height, ink, ground)
        made.append((from_left, swaps, width, height, text_of(lines).split("\n")))
        return lines

    monkeypatch.setattr(current_step, "arrow", recorded)
    word = room_for(height).word
    for width in (40, 41, 42, 45, 50, 64, 80, 103, 120, 183, 257, 300):
        for knot in Knot:
            current_step._with_arrow.cache_clear()
            lines = current_step._with_arrow(knot.words, knot.from_left, knot.swaps, width, word, GROUND)
            rows = text_of(lines).split("\n")
            ((from_left, swaps, wide, high, drawn),) = made
            made.clear()
            assert len(rows) == word
            assert (from_left, swaps) == (knot.from_left, knot.swaps)
            assert any(
                [row[left : left + wide] for row in rows[top : top + high]] == drawn
                for left in range(width - wide + 1)
                for top in range(word - high + 1)
            )
            # It is large beside the field: most of its width, or most of its height.
            assert wide >= width - 6 or high >= min(word // 2, wide // 2)
