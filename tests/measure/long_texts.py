"""Texts of any length: what a screen with one costs, compared with one an eighth as long."""

import time
from collections.abc import Sequence

from benchmate.bench.screens.page import Item, page
from benchmate.bench.zones.compose import compose
from benchmate.bench.zones.view_values import NEUTRAL_FIELD, View
from benchmate.craft.shown_step import ComingStep
from benchmate.display import large_type
from benchmate.display.palette import DARK
from tests.measure.table import Row

TIMES = 8
LONGER = 1.5
"""The limit for a text eight times as long, as a multiple."""
SIZES = ((40, 12), (80, 24), (300, 100))
TEXTS = {"words": "fold the string over a pin ", "one word": "x", "wide letters": "梅"}


def measure(length: int, runs: int) -> list[Row]:
    """The step screen and a page of text, for each kind of text and size of screen."""
    rows: list[Row] = []
    for kind, unit in TEXTS.items():
        for size in SIZES:
            once, longer = (_milliseconds(unit * (length * times // len(unit)), size, runs) for times in (1, TIMES))
            what = f"{kind}, {TIMES * length:,} : {length:,} characters"
            rows.append(Row(f"step screen and a page, {size[0]}x{size[1]}", what, "ms", longer, once, LONGER))
    return rows


def _milliseconds(text: str, size: Sequence[int], runs: int) -> float:
    """The fastest of the runs: disturbances only make one longer."""
    width, height = size
    view = View(
        text, 1, 2, "tie", 1, 2, "knot 2", text, text, NEUTRAL_FIELD, None, None, (),
        (ComingStep(text, text, text, ()),), "", 50, "", 0, (), None, text, False,
    )  # fmt: skip
    taken = []
    for _ in range(runs):
        large_type.draw.cache_clear()
        began = time.perf_counter()
        compose(view, width, height, DARK)
        page(text, [text], [Item(text, "a", True), Item(text, "b")], "q", width, height, DARK)
        taken.append(1000 * (time.perf_counter() - began))
    return min(taken)
