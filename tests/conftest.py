"""What many tests begin with: a home of their own to keep things in, and a design to follow."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.piece_opening import Kept
from tests.running import CHART


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder everything is kept in; it is not there yet."""
    folder = tmp_path / "home"
    monkeypatch.setenv("BENCHMATE_HOME", str(folder))
    return folder


@pytest.fixture
def band(tmp_path: Path) -> Path:
    """The file of a diagonal design with 12 knots."""
    file = tmp_path / "rain.yaml"
    file.write_text(CHART, encoding="utf-8")
    return file


@pytest.fixture
def kept(home: Path) -> Iterator[Kept]:
    """All that is kept in the home, open in this process."""
    kept = Kept()
    yield kept
    kept.close()
