"""Going to any row or knot, after the screen has shown what that means."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from benchmate.bench.screens import jump
from benchmate.bench.screens.jump import JumpScreen
from benchmate.bench.screens.page_screen import Page
from benchmate.bench.step.step_screen import StepScreen
from benchmate.design_files.shelf import shipped
from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.benches import CHEVRON, ROPE, WRITTEN, begun, written_to
from tests.screen.hands import sitting


async def test_jump_to_a_row(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        await hands.press("j")
        assert "Which row? This piece has 12 rows." in hands.words
        await hands.press("3")
        assert "go to row: 3" in hands.words
        assert "There: knot 6, forward, 1 mossy green over 2 straw" in hands.words
        assert "5 knots not tied yet will be counted as tied." in hands.words
        assert "Strings there, from the left:" in hands.words
        assert held.progress.done == 0
        await hands.press("enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert held.progress.done == 5
        assert "5/30" in hands.text
        assert "row 3 of 12" in hands.text
    assert kept.pieces.all()[0].done == 5


async def test_jump_back_to_a_knot(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.jump(20)
    async with sitting(kept, chevron) as hands:
        await hands.press("j", "k", "1", "2")
        assert "go to knot: 12" in hands.words
        assert "There: knot 12," in hands.words
        assert "9 knots tied now will be counted as undone." in hands.words
        await hands.press("enter")
        assert held.progress.done == 11
        assert "knot 12" in hands.words


async def test_the_strings_shown_are_those_that_hang_after_the_jump(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        await hands.press("j", "k", "8")
        words = hands.words
        await hands.press("enter")
        design = held.whole.main.design
        hanging = ", ".join(design.say(design.strings[string - 1]) for string in held.progress.hanging)
        assert f"Strings there, from the left: {hanging}." in words


async def test_to_the_end_and_back(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        await hands.press("j", "e")
        assert "To the end: every step counted as done." in hands.words
        await hands.press("enter")
        assert held.progress.done == 30
        assert "30/30" in hands.text
        assert "30 knots" in hands.text
        assert kept.pieces.all()[0].finished
        await hands.press("j", "1", "enter")
        assert held.progress.done == 0


async def test_jump_to_the_current_row(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(5)
    async with sitting(kept, chevron) as hands:
        await hands.press("j", "3")
        assert "That is where you are." in hands.words


@pytest.mark.parametrize(("keys", "many"), [("r13", "12 rows"), ("r0", "12 rows"), ("k31", "30 knots"), ("k0", "30")])
async def test_out_of_range_goes_nowhere(kept: Kept, chevron: OpenedPiece, keys: str, many: str) -> None:
    chevron.held.jump(4)
    async with sitting(kept, chevron) as hands:
        await hands.press("j", *keys)
        assert f"This piece has {many}" in hands.words
        assert "enter: go" not in hands.words
        await hands.press("enter")
        assert isinstance(hands.app.screen, JumpScreen)
        assert chevron.held.progress.done == 4


async def test_backspace_deletes_digits_and_escape_stays(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(4)
    async with sitting(kept, chevron) as hands:
        await hands.press("j", "k", "1", "2", "backspace")
        assert "go to knot: 1 " in hands.text
        await hands.press("e", "7")
        assert "go to knot: 7 " in hands.text
        await hands.press("e", "backspace", "x", "space", "left")
        assert "go to knot: _" in hands.text
        await hands.press(*"9999999")
        assert "go to knot: 999999 " in hands.text
        await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen)
        assert chevron.held.progress.done == 4


async def test_a_row_without_knots(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    text = (
        "benchmate: 1\ntitle: Gaps\nfamily: diagonal\ncolours: {a: red, b: blue}\nstrings: [a, b, a, b]\n"
        "rows: ['f f', '-', 'f f', '-']\n"
    )
    opening = begin(text)
    async with sitting(kept, opening) as hands:
        await hands.press("j", "2")
        assert "There: knot 3," in hands.words
        await hands.press("backspace", "4", "enter")
        assert opening.held.progress.done == 4


async def test_jump_to_a_written_step_by_number(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    opening = begin(WRITTEN)
    async with sitting(kept, opening) as hands:
        await hands.press("j")
        assert "Which step? This piece has 4 steps." in hands.words
        await hands.press("r", "3")
        assert "2 steps not done yet will be counted as done." in hands.words
        await hands.press("enter")
        assert opening.held.progress.done == 2


async def test_the_jump_screen_fits_a_small_window(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(20)
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await hands.press("j", "3")
        for said in (
            "go to row: 3",
            "15 knots tied now",
            "There: knot 6,",
            "k knot",
            "e end",
            "enter: go",
            "escape",
        ):
            assert said in hands.words


@pytest.mark.parametrize("design", ["hearth-rug", "net-on-the-line", "leaded-window"])
async def test_all_strings_there_are_shown_in_a_small_window(kept: Kept, design: str) -> None:
    path = next(path for path in shipped() if Path(path).stem == design)
    opening = begun(kept, Path(path), done=1)
    band = opening.held.whole.main
    async with sitting(kept, opening, size=(40, 12)) as hands:
        for keys, number in ("k61", 61), ("k1", 1), ("r9", 9), ("s1", 1):
            await hands.press("j", *keys)
            assert re.search(rf"go to (knot|row|step): {number} ", hands.text)
            assert "There: " in hands.words
            there = hands.words.partition(" from the left: ")[2].partition(".")[0]
            assert len(there.split(", ")) == len(band.design.strings)
            assert ".." not in hands.text
            assert "escape: stay" in hands.text
            await hands.press("escape")


async def test_the_names_of_many_strings_are_told_only_as_far_as_a_screen_shows_them(
    kept: Kept, begin: Callable[..., OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[int] = []

    def measured(heading: str, texts: list[str], *rest: Any) -> Page:
        told.append(sum(map(len, texts)))
        return Page(heading, texts, *rest)

    monkeypatch.setattr(jump, "Page", measured)
    say = "sea green " * 50
    opening = begin(
        f"benchmate: 1\ntitle: Wide\nfamily: diagonal\ncolours: {{a: {{css: teal, say: {say}}}}}\n"
        f"strings: [{', '.join('a' * 500)}]\nrows: [f*250, f*249]\n"
    )
    async with sitting(kept, opening) as hands:
        await hands.press("j", "2")
        assert "There: knot 251," in hands.words
    assert max(told) < 40_000


async def test_knots_of_the_band_and_steps_of_the_piece(kept: Kept, tmp_path: Path) -> None:
    (tmp_path / "begin.yaml").write_text(WRITTEN)
    opening = begun(kept, written_to(tmp_path, f"{CHEVRON}start: begin\nfinish: begin\n"), done=0)
    held = opening.held
    async with sitting(kept, opening) as hands:
        await hands.press("j")
        assert "Which row? The band has 12 rows." in hands.words
        await hands.press("k")
        assert "Which knot? The band has 30 knots." in hands.words
        await hands.press("6")
        assert "There: band knot 6, step 10, forward" in hands.words
        assert "9 steps not done yet will be counted as done." in hands.words
        await hands.press("s")
        assert "There: band knot 2, step 6," in hands.words
        await hands.press("backspace", "1", "0")
        assert "There: band knot 6, step 10, forward" in hands.words
        await hands.press("enter")
        assert held.progress.done == 9
        assert "Before the jump you were at start step 1." in hands.words
        await hands.press("j", "k", "3", "5")
        assert "The band has 30 knots." in hands.words
        await hands.press("s")
        assert "There: finish step 1, step 35" in hands.words
        await hands.press("enter", "j", "k", "2", "enter")
        assert "Before the jump you were at finish step 1, step 35." in hands.words
        assert "band knot 2, step 6" in hands.lines[-2] + hands.lines[-1]


async def test_moves_of_a_braid(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    opening = begin(ROPE)
    async with sitting(kept, opening) as hands:
        await hands.press("j")
        assert "Which move? This piece has" in hands.words
        assert "m move" not in hands.words
        await hands.press("3")
        assert "There: move 3, 9 to 23" in hands.words
