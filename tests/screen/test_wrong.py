"""A wrong knot: chosen, reached by undoing the last knot first, and tied again from the right place."""

from collections.abc import Callable

import pytest

from benchmate.bench.screens.help import HelpPageScreen
from benchmate.bench.screens.trouble.knot_colour_screen import KnotColourScreen
from benchmate.bench.screens.wrong_knot import WrongKnotScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece, resume_listed
from benchmate.settings import DEFAULTS
from benchmate.store.open_piece import OpenPiece
from tests.screen.benches import PICTURE, ROPE, WRITTEN
from tests.screen.hands import sitting
from tests.voices import Recorder

# The chevron's rows hold knots 0 1 2, 3 4, 5 6 7, 8 9, ... at positions 1-2 3-4 5-6, 2-3 4-5, and so on.


def resumed(kept: Kept) -> OpenedPiece:
    """The only piece, opened again."""
    (piece,) = kept.pieces.all()
    opening = resume_listed(kept, piece)
    opening.held.hold()
    return opening


def marked(held: OpenPiece) -> int | None:
    """The step marked wrong now."""
    return held.wrong


async def test_walking_back_and_choosing(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.jump(8)
    async with sitting(kept, chevron) as hands:
        await hands.press("u")
        assert isinstance(hands.app.screen, WrongKnotScreen)
        assert "row 3, knot 8" in hands.words
        assert "Undo only this one." in hands.words
        await hands.press("left", "backspace", "pageup")
        assert "row 2, knot 5" in hands.words
        assert "Undo 3 knots to reach it, last first." in hands.words
        await hands.press("right", "pagedown", "pagedown", "pagedown")
        assert "knot 8" in hands.words
        await hands.press("left", "enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert held.wrong == 6


async def test_walking_stops_at_the_first_knot(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(3)
    async with sitting(kept, chevron) as hands:
        await hands.press("u", "left", "left", "left", "left")
        assert "row 1, knot 1" in hands.words


async def test_up_and_down_go_by_rows_on_the_band(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(10)
    async with sitting(kept, chevron) as hands:
        await hands.press("u")
        assert "row 4, knot 10" in hands.words
        await hands.press("up")
        assert "row 3, knot 7" in hands.words
        await hands.press("up", "up")
        assert "row 1, knot 2" in hands.words
        await hands.press("up")
        assert "row 1, knot 2" in hands.words
        await hands.press("down")
        assert "row 2, knot 5" in hands.words
        await hands.press("down", "down")
        assert "row 4, knot 10" in hands.words
        await hands.press("up", "up")
        assert "row 2, knot 5" in hands.words
        mark = next(line for line in hands.lines if "[" in line)
        assert ">" in mark


async def test_a_row_without_tied_knots_is_skipped(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    text = (
        "benchmate: 1\ntitle: Gaps\nfamily: diagonal\ncolours: {a: red, b: blue}\nstrings: [a, b, a, b]\n"
        "rows: ['f f', '-', 'f f']\n"
    )
    opening = begin(text, done=4)
    async with sitting(kept, opening) as hands:
        await hands.press("u", "up")
        assert "row 1, knot 2" in hands.words
        await hands.press("down")
        assert "row 3, knot 4" in hands.words


async def test_knots_are_undone_last_first_and_then_tied_again(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.jump(8)
    async with sitting(kept, chevron) as hands:
        # Knot 1, at 3-4: both knots of row 2 rest on it, and all of row 3 on those; knots 0 and 2 may stay.
        await hands.press("u", *["left"] * 6, "enter")
        assert held.wrong == 1
        for left, number in zip(range(6, 0, -1), [7, 6, 5, 4, 3, 1], strict=True):
            assert held.must_come_out()[0] == number
            wanted = f"{left} to undo, this one first" if left > 1 else "This is the last to undo"
            assert wanted in hands.words
            assert held.progress.is_tied(number)
            await hands.press("space")
            assert not held.progress.is_tied(number)
            assert f"{held.progress.done}/30" in hands.text
        assert marked(held) is None
        assert "ALL UNDONE. The next press ties again." in hands.words
        assert [number for number in range(30) if held.progress.is_tied(number)] == [0, 2]
        assert held.progress.next == 1
        assert "knot 2" in hands.words
        await hands.press("space")
        assert "ALL UNDONE" not in hands.words
        for number in (3, 4, 5):
            assert held.progress.next == number
            await hands.press("space")
        assert held.progress.done == 6


async def test_back_on_the_way_restores_the_last_knot_undone(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.jump(8)
    held.mark_wrong(1)
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "space")
        assert held.must_come_out() == [5, 4, 3, 1]
        await hands.press("left")
        assert held.must_come_out() == [6, 5, 4, 3, 1]
        await hands.press("left")
        assert held.must_come_out() == [7, 6, 5, 4, 3, 1]
        assert held.wrong == 1
        await hands.press("left")
        assert (marked(held), held.progress.done) == (None, 8)
        assert "knot 9" in hands.words


async def test_escape_keeps_the_wrong_knot(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.jump(8)
    held.mark_wrong(1)
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "escape")
        assert held.wrong is None
        assert held.progress.done == 7
        assert "undo" not in hands.words.replace("undone", "")
        assert held.progress.next == 7
        await hands.press("escape")
        assert held.progress.done == 7


async def test_a_piece_left_while_undoing_resumes_there(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.jump(8)
    held.mark_wrong(1)
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "space")
        before = hands.text
        await hands.press("q")
        await hands.wait_for(lambda: not hands.app.is_running)
    opening = resumed(kept)
    assert opening.held.wrong == 1
    async with sitting(kept, opening) as hands:
        assert "undo" in hands.words
        assert "4 to undo, this one first" in hands.words
        assert "An empty line" not in hands.words
        assert screen_but_time(hands.text) == screen_but_time(before)
        await hands.press("left")
        assert opening.held.must_come_out() == [6, 5, 4, 3, 1]
        await hands.press(*["space"] * 5)
        assert (marked(opening.held), opening.held.progress.next) == (None, 1)


def screen_but_time(text: str) -> list[str]:
    """The screen without its last line, where the time left stands."""
    return text.split("\n")[:-1]


async def test_u_with_nothing_tied_says_so_and_offers_what_is_possible(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("u")
        assert isinstance(hands.app.screen, WrongKnotScreen)
        assert "Nothing is tied yet." in hands.legible
        assert "w: where am I" in hands.words
        await hands.press("left", "up", "enter", "s", "c", "k", "a", "d")
        assert isinstance(hands.app.screen, WrongKnotScreen), "there is no knot to choose"
        await hands.press("h")
        assert isinstance(hands.app.screen, HelpPageScreen)
        await hands.press("escape", "escape")
        assert isinstance(hands.app.screen, StepScreen)
        assert chevron.held.piece is None


async def test_u_on_the_way_to_a_wrong_knot_says_how_to_keep_it(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(8)
    chevron.held.mark_wrong(1)
    async with sitting(kept, chevron) as hands:
        await hands.press("u")
        assert isinstance(hands.app.screen, StepScreen)
        assert "Undo the knot first; escape keeps it." in hands.words
        await hands.press("j")
        assert isinstance(hands.app.screen, StepScreen)
        assert "Undo the knot first; escape keeps it." in hands.words


async def test_choosing_none(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(8)
    async with sitting(kept, chevron) as hands:
        for key in ("escape", "q", "u"):
            await hands.press("u", "left", key)
            assert isinstance(hands.app.screen, StepScreen)
            assert chevron.held.wrong is None
        assert chevron.held.progress.done == 8


async def test_after_the_last_knot_a_wrong_one_can_still_be_chosen(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(30)
    assert kept.pieces.all()[0].finished
    async with sitting(kept, chevron) as hands:
        await hands.press("u", "enter", "space")
        assert chevron.held.progress.done == 29
        assert not kept.pieces.all()[0].finished


async def test_written_steps_are_undone_one_by_one(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    opening = begin(WRITTEN, done=4)
    async with sitting(kept, opening) as hands:
        await hands.press("u", "left", "left")
        assert "Undo 3 steps to reach it, last first." in hands.words
        await hands.press("enter", "space")
        assert "2 to undo" in hands.legible
        await hands.press("space", "space")
        assert opening.held.progress.done == 1
        assert opening.held.wrong is None


async def test_the_choice_fits_a_small_screen_and_a_large_one(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(8)
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await hands.press("u", "left")
        for size in ((40, 12), (200, 60), (300, 100), (1, 1), (20, 5), (40, 12)):
            await hands.pilot.resize_terminal(*size)
            await hands.catch_up()
            assert len(hands.lines) == size[1]
            if size[0] >= 40:
                words = " ".join(" ".join(line[: size[0] * 3 // 4] for line in hands.lines).split())
                assert "row 3, knot 7" in words
                assert "Undo only this one." in words
                assert "escape: none" in words


# The picture's knots 7 and 8 are deep, 9, 10 and 11 foam, 12 rust. On 7 rest 8, and in its columns 11 and 12.


@pytest.mark.parametrize(
    ("colour", "out"), [("f", [12, 11, 10, 9, 8, 7]), ("r", [12, 11, 8, 7])], ids=["held by its string", "rests anyway"]
)
async def test_in_a_picture_the_colour_of_the_wrong_knot_tells_what_must_come_out_first(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder], colour: str, out: list[int]
) -> None:
    opening = begin(PICTURE, done=13)
    held = opening.held
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level="short")) as hands:
        await hands.press("u", *["left"] * 5)
        assert "If it is deep, undo 4 knots to reach it, last first. Another colour? c." in hands.words
        assert "c: it shows another colour" in hands.words
        assert voice().last.endswith("If it is deep, undo 4 knots to reach it, last first. Another colour? c")
        await hands.press("c")
        assert isinstance(hands.app.screen, KnotColourScreen)
        assert "f foam, r rust" in hands.words
        assert voice().last.endswith("which colour does it show? f: foam. r: rust. escape: back")
        await hands.press("d", "1", "minus")
        assert isinstance(hands.app.screen, KnotColourScreen), "it is charted deep, and the rest is no answer here"
        await hands.press("escape")
        assert isinstance(hands.app.screen, WrongKnotScreen)
        assert held.wrong is None
        await hands.press("c", colour)
        assert isinstance(hands.app.screen, StepScreen)
        assert (marked(held), held.must_come_out()) == (7, out)
        for left in range(len(out), 0, -1):
            assert (f"{left} to undo" if left > 1 else "this is the last to undo") in hands.words
            await hands.press("space")
        assert "ALL UNDONE. The next press ties again." in hands.words
        assert held.progress.next == 7


async def test_where_the_colour_of_the_wrong_knot_makes_no_difference_none_is_named(
    kept: Kept, begin: Callable[..., OpenedPiece]
) -> None:
    async with sitting(kept, begin(PICTURE, done=10), size=(40, 12)) as hands:
        await hands.press("u")
        assert "Undo only this one." in hands.legible
        await hands.press("left")
        assert "If it is deep, undo only this one. Another colour? c." in hands.words
        await hands.press("c")
        assert "f foam, r rust" in hands.words
        await hands.press("f")
        assert "2 to undo" in hands.words


async def test_a_move_of_a_braid_has_no_other_colour(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(ROPE, done=8)) as hands:
        await hands.press("u", "left")
        assert "Another colour" not in hands.words
        await hands.press("c")
        assert isinstance(hands.app.screen, WrongKnotScreen)
