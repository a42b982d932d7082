"""The database goes while something covers the step screen."""

from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.screens.flood import FloodQuestion
from benchmate.bench.step import step_screen
from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.hands import sitting


@pytest.fixture
def opened(kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch) -> OpenedPiece:
    """A piece with two steps done; only its keys look whether it is still there."""
    monkeypatch.setattr(step_screen, "POLL", 1000.0)
    opened = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False)
    opened.held.hold()
    opened.held.finish_step()
    opened.held.finish_step()
    return opened


async def test_leaving_after_a_flood_asks_as_leaving_does(kept: Kept, opened: OpenedPiece, home: Path) -> None:
    async with sitting(kept, opened) as hands:
        await hands.hold("space", 200)
        assert isinstance(hands.app.screen, FloodQuestion)
        (home / "pieces.db").write_bytes(b"not a database" * 1000)
        await hands.press("q", gap=2)
        assert "write it to a new file, and leave" in hands.text
        await hands.press("q", gap=1)
        assert hands.app.lost is not None
        assert "Your piece, 3 of 12 steps, is written to" in str(hands.app.lost)
    assert (home / "rescued-1.pieces").exists()


async def test_nothing_is_counted_while_the_question_waits(kept: Kept, opened: OpenedPiece, home: Path) -> None:
    async with sitting(kept, opened) as hands:
        (home / "pieces.db").unlink()
        for key in "space", "left", "q":
            await hands.press(key)
            assert "write it to a new file, and leave" in hands.text
            await hands.press("space", "j", "escape")
            assert "2/12" in hands.text
            assert opened.held.progress.done == 2
        assert hands.app.lost is None


async def test_the_question_comes_once_while_it_waits(kept: Kept, opened: OpenedPiece, home: Path) -> None:
    async with sitting(kept, opened) as hands:
        (home / "pieces.db").unlink()
        await hands.press("space")
        assert "write it to a new file, and leave" in hands.text
        bench = hands.app.screen_stack[-2]
        assert isinstance(bench, step_screen.StepScreen)
        # The look for other windows, once a second, finds the same.
        bench.other_windows.check()
        await hands.press("c", gap=1)
        assert hands.app.screen is bench
        assert "2/12" in hands.text
