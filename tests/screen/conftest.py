"""Pieces on the bench."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.benches import CHEVRON, begun, written_to
from tests.voices import Recorder, recorder


@pytest.fixture
def chevron(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """Six strings, 30 knots in rows of three and two, none tied."""
    return begun(kept, written_to(tmp_path, CHEVRON))


@pytest.fixture
def begin(kept: Kept, tmp_path: Path) -> Callable[..., OpenedPiece]:
    """Begins a piece on a design's text, with its first `done` steps tied."""

    def begin(text: str, *, done: int = 0) -> OpenedPiece:
        return begun(kept, written_to(tmp_path, text), done=done)

    return begin


@pytest.fixture
def voice(monkeypatch: pytest.MonkeyPatch) -> Callable[[], Recorder]:
    """What the bench says goes to a recorder."""
    return recorder(monkeypatch)
