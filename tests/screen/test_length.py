"""A band that becomes longer or ends sooner while it is worked on."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.store.pieces import Pieces
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN, begun, full, written_to
from tests.screen.hands import Hands, sitting

FINISH = WRITTEN.replace("A loop to begin with", "An end")


def sizes(kept: Kept) -> list[tuple[int, int]]:
    """The done steps and all steps of every piece."""
    return [(piece.done, piece.size) for piece in kept.pieces.all()]


async def choose(hands: Hands, line: str) -> None:
    """Moves to the line of the list."""
    for _ in range(6):
        if any(text.strip().startswith("> ") and line in text for text in hands.lines):
            return
        await hands.press("down")
    raise AssertionError(hands.text)


async def test_enter_alone_changes_nothing(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON, done=7)) as hands:
        await hands.press("e")
        assert "Now: 3 repeats, 12 rows; you are at row 3." in hands.words
        assert "> as it is: 3 repeats, 12 rows" in hands.words
        await hands.press("enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert "7/30" in hands.text
        await hands.press("e", "down", "right", "escape")
        assert "7/30" in hands.text
    assert sizes(kept) == [(7, 30)]


async def test_more_repeats(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON, done=7)) as hands:
        await hands.press("e")
        await choose(hands, "repeats in all: 4")
        assert "10 more knots: 4 repeats, 16 rows." in hands.words
        await hands.press("right", "left", "left", "5")
        assert "> repeats in all: 5" in hands.words
        await hands.press("enter")
        assert "7/50" in hands.text
        assert "Now 5 repeats, 20 rows." in hands.words
        await hands.press("space")
        assert "8/50" in hands.text
    assert sizes(kept) == [(8, 50)]


async def test_five_more_rows_at_the_end(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON, done=30)) as hands:
        await hands.press("space", "e")
        assert "> repeats in all: 4" in hands.words
        await choose(hands, "rows in all: 13")
        assert "3 more knots: 13 rows." in hands.words
        await hands.press("1", "7", "enter")
        assert "30/43" in hands.text
        for _ in range(13):
            await hands.press("space")
        assert "43/43" in hands.text
        # From within a repeat to a whole one.
        await hands.press("e")
        assert "Now: 17 rows." in hands.words
        await choose(hands, "repeats in all: 5")
        await hands.press("enter")
        assert "43/50" in hands.text
    assert sizes(kept) == [(43, 50)]


@pytest.mark.parametrize(
    ("line", "size", "said"), [("this repeat", 10, "1 repeat, 4 rows"), ("this row", 8, "Now 3 rows.")]
)
async def test_ending_sooner(kept: Kept, begin: Callable[..., OpenedPiece], line: str, size: int, said: str) -> None:
    async with sitting(kept, begin(CHEVRON, done=7)) as hands:
        await hands.press("e")
        await choose(hands, f"end after {line}")
        await hands.press("enter")
        assert f"7/{size}" in hands.text
        assert said in hands.words
        await hands.press("space", "space", "space")
        assert f"{size}/{size}" in hands.text
    assert sizes(kept) == [(size, size)]


async def test_it_cannot_end_before_what_is_tied(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON, done=12)) as hands:
        await hands.press("e")
        await choose(hands, "repeats in all")
        await hands.press("1")
        assert "Not possible: row 5 has tied knots." in hands.words
        await hands.press("enter")
        assert not isinstance(hands.app.screen, StepScreen)
        await hands.press("0")
        await hands.press("9", "9", "9", "9", "9", "enter")
        assert "Not possible: 109999 repeats make" in hands.words
        await hands.press("escape")
    assert sizes(kept) == [(12, 30)]


async def test_a_length_chosen_before_the_first_step_stays_when_it_is_mirrored(
    kept: Kept, begin: Callable[..., OpenedPiece]
) -> None:
    async with sitting(kept, begin(CHEVRON)) as hands:
        await hands.press("e")
        await choose(hands, "rows in all: 13")
        await hands.press("enter", "w", "m")
        assert "0/33" in hands.text
        assert "mirrored" in hands.words
        await hands.press("space")
    assert sizes(kept) == [(1, 33)]


async def test_before_the_first_step_and_by_segments(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON)) as hands:
        await hands.press("e", "down", "enter")
        assert "0/40" in hands.text
        await hands.press("w", "s", "space", "space", "e", "down", "enter")
        assert "2/50" in hands.text
        held = hands.app.open_piece
        assert held is not None
        assert held.order.by == "segments"
        assert held.progress.in_order
    assert sizes(kept) == [(2, 50)]


async def test_the_finish_comes_out_first(kept: Kept, tmp_path: Path) -> None:
    written_to(tmp_path, FINISH, "end.yaml")
    opening = begun(kept, written_to(tmp_path, CHEVRON + "finish: end\n"), done=32)
    async with sitting(kept, opening) as hands:
        await hands.press("e")
        assert "Undo 2 steps of the finish first" in hands.words
        await hands.press("enter")
        assert "30/44" in hands.text
        await hands.press("left")
        assert "29/44" in hands.text
    assert sizes(kept) == [(29, 44)]


@pytest.mark.parametrize(("text", "done", "after"), [(ROPE, 5, "5/132"), (WRITTEN, 2, "2/8"), (PICTURE, 3, "3/45")])
async def test_the_other_families(
    kept: Kept, begin: Callable[..., OpenedPiece], text: str, done: int, after: str
) -> None:
    async with sitting(kept, begin(text, done=done)) as hands:
        await hands.press("e")
        assert ("rows in all" in hands.text) == (text is PICTURE)
        await hands.press("down", "enter")
        assert after in hands.text


async def test_what_cannot_be_saved_is_not_changed(
    kept: Kept, begin: Callable[..., OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, begin(CHEVRON, done=7)) as hands:
        with monkeypatch.context() as patch:
            patch.setattr(Pieces, "change_copy", full)
            await hands.press("e", "down", "enter")
            assert "NOT SAVED, NOT COUNTED." in hands.words
            assert "7/30" in hands.text
        await hands.press("e", "down", "enter")
        assert "7/40" in hands.text


async def test_not_on_the_way_to_a_wrong_knot_and_not_read_only(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(8)
    chevron.held.mark_wrong(1)
    async with sitting(kept, chevron) as hands:
        await hands.press("e")
        assert isinstance(hands.app.screen, StepScreen)
        assert "Undo the knot first" in hands.words


async def test_a_held_enter_takes_nothing(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON, done=30)) as hands:
        await hands.hold("enter", 5)
        await hands.press("e", gap=0.02)
        await hands.hold("enter", 5)
        assert not isinstance(hands.app.screen, StepScreen)
    assert sizes(kept) == [(30, 30)]


async def test_a_changed_file_offers_to_go_on_after_undoing_the_finish(kept: Kept, tmp_path: Path) -> None:
    written_to(tmp_path, FINISH, "end.yaml")
    file = written_to(tmp_path, CHEVRON + "finish: end\n")
    begun(kept, file, done=32).held.let_go()
    file.write_text(CHEVRON.replace("repeats: 3", "repeats: 4") + "finish: end\n", encoding="utf-8")
    opening = openings.follow(kept, str(file), openings.NO_OPTIONS, new=False)
    async with sitting(kept, opening) as hands:
        await hands.press("c")
        assert "first undo 2 steps of the finish" in hands.words
        await hands.press("d")
        assert "30/44" in hands.text
