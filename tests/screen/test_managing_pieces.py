"""On the first screen, pieces are renamed, put aside, copied and deleted; what was deleted comes back."""

from pathlib import Path

import pytest

from benchmate.bench.screens.first_screen.name_screen import NameScreen
from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.screens.question import Question
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept
from benchmate.store.pieces import Pieces
from tests.screen.benches import CHEVRON, FOUR_KNOTS, begun, full, written_to
from tests.screen.hands import Hands, sitting
from tests.screen.test_home import chosen, titles


@pytest.fixture
def pieces(kept: Kept, tmp_path: Path) -> None:
    """Two pieces, the chevron touched last."""
    begun(kept, written_to(tmp_path, FOUR_KNOTS, "four.yaml"), done=1).held.let_go()
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()


@pytest.mark.usefixtures("pieces")
async def test_a_piece_is_renamed(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("down", "up", "tab", "r")
        assert isinstance(hands.app.screen, NameScreen)
        assert "Heather on the moor_" in hands.text
        await hands.press(*["backspace"] * 30, *"For", "space", *"Mia", "full_stop", "backspace", "enter")
        assert chosen(hands) == "For Mia"
        await hands.press("enter")
        assert "For Mia" in hands.lines[0]
        await hands.press("q", "tab", "r", *["backspace"] * 8)
        assert "the title of its design" in hands.words
        await hands.press("enter")
        assert chosen(hands) == "Heather on the moor"
        await hands.press("tab", "r", "x", "escape")
        assert chosen(hands) == "Heather on the moor"


@pytest.mark.usefixtures("pieces")
async def test_a_pasted_name_is_one_line_without_control_characters(kept: Kept) -> None:
    from textual import events

    async with sitting(kept, None) as hands:
        await hands.press("tab", "r", *["backspace"] * 30)
        hands.app.screen.post_message(events.Paste("Für\x1b[2J Åsa\u202e\nsecond line"))
        await hands.catch_up()
        await hands.press("enter")
        assert kept.pieces.all()[0].title == "Für[2J Åsa"


@pytest.mark.usefixtures("pieces")
async def test_a_piece_put_aside_has_a_shelf_of_its_own(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("tab", "a")
        assert "Heather on the moor is put aside, at the end of the list." in hands.words
        assert titles(hands)[0] == "Each of the four"
        await hands.press("end")
        assert chosen(hands) == "1 piece put aside"
        await hands.press("enter")
        assert "PUT ASIDE" in hands.lines[0]
        assert chosen(hands) == "Heather on the moor"
        await hands.press("tab", "a")
        # The shelf is empty now.
        assert "BENCHMATE" in hands.lines[0]
        assert "Heather on the moor is back in the list." in hands.words
        await hands.press("home")
        assert titles(hands)[:2] == ["Heather on the moor", "Each of the four"]


@pytest.mark.usefixtures("pieces")
async def test_a_piece_put_aside_comes_back_when_it_is_worked_on(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("tab", "a", "end", "enter", "enter", "space", "q", "q", "home")
        assert chosen(hands) == "Heather on the moor"
        assert "8/30" in hands.text


@pytest.mark.usefixtures("pieces")
async def test_a_copy_has_the_same_progress_and_the_cursor(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        for number in (2, 3):
            await hands.press("home", *["down"] * (number - 2), "tab", "c")
            assert chosen(hands) == f"Heather on the moor ({number})"
        await hands.press("enter", "space")
    assert {(piece.title, piece.done) for piece in kept.pieces.all()} == {
        ("Heather on the moor", 7),
        ("Heather on the moor (2)", 7),
        ("Heather on the moor (3)", 8),
        ("Each of the four", 1),
    }


@pytest.mark.usefixtures("pieces")
@pytest.mark.parametrize("keys", [("delete",), ("tab", "d")])
async def test_a_piece_is_deleted_when_asked_and_comes_back(kept: Kept, keys: tuple[str, ...]) -> None:
    async with sitting(kept, None) as hands:
        await hands.press(*keys)
        assert isinstance(hands.app.screen, Question)
        assert "Heather on the moor, 7 of 30." in hands.words
        await hands.press("escape")
        assert chosen(hands) == "Heather on the moor"
        await hands.press(*keys, "d")
        assert "press tab, then u" in hands.words
        assert titles(hands)[0] == "Each of the four"
        await hands.press("tab", "u")
        assert chosen(hands) == "Heather on the moor"
        await hands.press(*keys, "d")
    # Also at another time.
    async with sitting(kept, None) as hands:
        await hands.press("end")
        assert chosen(hands) == "1 piece in the bin"
        await hands.press("enter", "enter")
        assert "Heather on the moor, 7 of 30." in hands.words
        await hands.press("t")
        assert "BENCHMATE" in hands.lines[0]
        await hands.press("home", "enter", "space")
        assert "8/30" in hands.text


@pytest.mark.usefixtures("pieces")
async def test_a_piece_open_in_another_window_is_left_alone_and_says_so(kept: Kept) -> None:
    other = Kept()
    other.pieces.hold(2, other.holder.token, force=False)
    async with sitting(kept, None) as hands:
        for keys in (("delete", "d"), ("tab", "a"), ("tab", "r", "x", "enter")):
            await hands.press(*keys)
            assert "Heather on the moor is open in another window. Nothing was changed." in hands.words
            assert chosen(hands) == "Heather on the moor"
    other.close()


@pytest.mark.usefixtures("pieces")
async def test_a_piece_deleted_in_another_window_is_not_opened(kept: Kept) -> None:
    other = Kept()
    async with sitting(kept, None) as hands:
        other.pieces.arrange(2, other.holder.token, lambda before: before._replace(deleted=True))
        await hands.press("enter")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "was deleted in another window" in hands.words
    other.close()


@pytest.mark.usefixtures("pieces")
async def test_a_change_that_cannot_be_saved_is_said(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Pieces, "arrange", full)
    monkeypatch.setattr(Pieces, "copy", full)
    async with sitting(kept, None) as hands:
        for keys in (("delete", "d"), ("tab", "a"), ("tab", "c")):
            await hands.press(*keys)
            assert "The disk is full." in hands.words
            assert chosen(hands) == "Heather on the moor"
            await hands.press("down", "up")


async def leave(hands: Hands) -> None:
    """Leaves the piece on the screen."""
    await hands.press("q")
    assert isinstance(hands.app.screen, HomeScreen)


async def test_a_finished_piece_can_be_looked_at_and_kept_like_any_other(kept: Kept, tmp_path: Path) -> None:
    opening = begun(kept, written_to(tmp_path, CHEVRON))
    opening.held.jump(30)
    opening.held.let_go()
    async with sitting(kept, None) as hands:
        await hands.press("end", "enter")
        assert "enter: look at it" in hands.text
        await hands.press("enter")
        assert isinstance(hands.app.screen, StepScreen)
        await leave(hands)
        await hands.press("tab", "a")
        assert kept.pieces.all()[0].arrangement.aside
