"""Storage that fails when a piece is opened: a notice and the exit status for it, never a crash."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.store.pieces import Pieces
from tests.screen.benches import CHEVRON, begun, full, written_to
from tests.screen.hands import sitting


@pytest.fixture
def begun_before(kept: Kept, tmp_path: Path) -> Callable[[], OpenedPiece]:
    """Opens a piece of seven tied knots, which no window holds."""
    file = written_to(tmp_path, CHEVRON)
    begun(kept, file, done=7).held.let_go()
    return lambda: openings.follow(kept, str(file), openings.NO_OPTIONS, new=False)


async def test_a_piece_that_cannot_be_held_exits_with_3(
    kept: Kept, begun_before: Callable[[], OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    opening = begun_before()
    monkeypatch.setattr(Pieces, "hold", full)
    async with sitting(kept, opening) as hands:
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_code == 3


async def test_the_list_reports_a_piece_that_cannot_be_held(
    kept: Kept, begun_before: Callable[[], OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    begun_before()
    monkeypatch.setattr(Pieces, "hold", full)
    async with sitting(kept, None) as hands:
        await hands.press("enter")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "The disk is full." in hands.words


async def test_a_failed_take_over_is_reported(
    kept: Kept, begun_before: Callable[[], OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    other = Kept()
    (piece,) = kept.pieces.all()
    other.pieces.hold(piece.piece, other.holder.token, force=False)
    real = Pieces.hold

    def hold(self: Pieces, piece: int, token: str, *, force: bool) -> None:
        if force:
            full()
        real(self, piece, token, force=force)

    monkeypatch.setattr(Pieces, "hold", hold)
    async with sitting(kept, None) as hands:
        await hands.press("enter", "t")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "The disk is full." in hands.words
        await hands.press("enter", "l", "t")
        assert isinstance(hands.app.screen, StepScreen)
        assert "The disk is full." in hands.words
    async with sitting(kept, begun_before()) as hands:
        await hands.press("t")
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_code == 3
    other.close()


async def test_a_new_piece_that_cannot_be_prepared_is_reported(
    kept: Kept, tmp_path: Path, begun_before: Callable[[], OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    written_to(tmp_path, CHEVRON.replace("repeats: 3", "repeats: 4"))
    async with sitting(kept, begun_before()) as hands:
        await hands.press("c")
        monkeypatch.setattr(openings, "begin", full)
        await hands.press("n")
        assert isinstance(hands.app.screen, StepScreen)
        assert "The disk is full." in hands.words
        assert "7/30" in hands.text


async def test_a_failed_copy_is_reported(
    kept: Kept, begun_before: Callable[[], OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.store.safekeeping.keeping.make_copy", full)
    async with sitting(kept, begun_before()) as hands:
        await hands.wait_for(lambda: "The disk is full." in hands.words)
        assert "7/30" in hands.text
        await hands.press("space")
        assert "8/30" in hands.text


async def test_an_unexpected_error_of_the_copying_is_reported(
    kept: Kept, begun_before: Callable[[], OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("no\x1b[2J sense\nin this")

    monkeypatch.setattr("benchmate.store.safekeeping.keeping.make_copy", broken)
    async with sitting(kept, begun_before(), size=(160, 24)) as hands:
        await hands.wait_for(lambda: "The copy of your pieces was not made" in hands.words)
        assert "(RuntimeError: no [2J sense in this). Every step is still saved." in hands.words
        assert "7/30" in hands.text
        await hands.press("space")
        assert "8/30" in hands.text


async def test_the_notice_of_a_failed_copy_waits_for_a_free_line(
    kept: Kept, begun_before: Callable[[], OpenedPiece], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.bench.app.LATER", 0.01)
    monkeypatch.setattr("benchmate.store.safekeeping.keeping.make_copy", full)
    written_to(tmp_path, CHEVRON.replace("repeats: 3", "repeats: 4"))
    async with sitting(kept, begun_before()) as hands:
        await hands.pilot.pause(0.1)
        assert "Design file changed" in hands.words
        await hands.press("c")
        await hands.pilot.pause(0.1)
        await hands.press("c")
        await hands.wait_for(lambda: "The disk is full." in hands.words)
