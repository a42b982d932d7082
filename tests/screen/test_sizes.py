"""From 40 by 12 to 300 by 100, while being resized, in dark and in light."""

import re

import pytest
from rich.cells import cell_len
from textual.color import Color

from benchmate.bench.screens.wrong_knot import WrongKnotScreen
from benchmate.bench.terminal.board import Board
from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.hands import Hands, sitting

SIZES = [(40, 12), (80, 24), (120, 36), (200, 60), (300, 100)]
TINY = [(1, 1), (5, 3), (20, 5), (39, 11), (85, 5), (300, 4)]


def fits(hands: Hands, size: tuple[int, int]) -> bool:
    """True when the screen is painted in exactly that many cells."""
    lines = hands.lines
    return len(lines) == size[1] and {cell_len(line) for line in lines} == {size[0]}


async def test_resizing_while_knotting(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        for done, size in enumerate([*SIZES, *reversed(SIZES), *TINY, *SIZES], 1):
            await hands.pilot.resize_terminal(*size)
            await hands.press("space")
            assert chevron.held.progress.done == done
            assert fits(hands, size)
            if size in SIZES:
                assert f"{done}/30" in hands.lines[0]
                assert "Heather on the moor" in hands.lines[0]


@pytest.mark.parametrize(
    "keys", [["question_mark"], ["question_mark", "p"], ["u"], ["j", "3"], ["j", "w", "enter"], ["space"] * 14]
)
async def test_every_screen_at_every_size(kept: Kept, chevron: OpenedPiece, keys: list[str]) -> None:
    chevron.held.jump(12)
    async with sitting(kept, chevron) as hands:
        await hands.press(*keys, gap=0.02 if len(keys) > 10 else 0.3)
        top = hands.app.screen
        for size in [*SIZES, *TINY]:
            await hands.pilot.resize_terminal(*size)
            await hands.catch_up()
            assert hands.app.screen is top
            assert fits(hands, size)


async def test_the_list_at_every_size(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        for size in [*SIZES, *TINY]:
            await hands.pilot.resize_terminal(*size)
            await hands.catch_up()
            assert fits(hands, size)


async def test_the_band_stands_beside_where_there_is_room(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(12)
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        for size, beside in (((40, 12), False), ((73, 20), False), ((80, 24), True), ((120, 36), True)):
            await hands.pilot.resize_terminal(*size)
            await hands.catch_up()
            assert any(re.search(r">\s+\[\s*\]", line) for line in hands.lines) == beside


async def test_light_shows_the_same_text_as_dark(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        dark, grounds = hands.text, ground_of(hands)
        await hands.press("d")
        assert hands.text == dark
        assert Color.parse(grounds).brightness < 0.5 < Color.parse(ground_of(hands)).brightness
        chevron.held.tie([0])
        await hands.press("u")
        assert isinstance(hands.app.screen, WrongKnotScreen)
        assert Color.parse(ground_of(hands, 23)).brightness > 0.5


def ground_of(hands: Hands, line: int = 0) -> str:
    """The ground a line begins on."""
    (first, *_) = hands.app.screen.query_one(Board).render_line(line)
    assert first.style is not None
    assert first.style.bgcolor is not None
    return first.style.bgcolor.name
