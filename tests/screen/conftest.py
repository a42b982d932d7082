"""Pieces on the bench."""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

from benchmate.bench.screens import home
from benchmate.choosing import shipped_designs
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
    """Records what the bench says."""
    return recorder(monkeypatch)


@pytest.fixture(autouse=True)
def designs_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reads the shipped designs once for all tests of screens, as reading them takes longer than most tests."""
    monkeypatch.setattr(home, "shipped_designs", lambda: _read_designs(tuple(vars(shipped_designs)["shipped"]())))


@pytest.fixture(autouse=True)
def styles_parsed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Parses the framework's styles once for all benches: each would parse the same again, for a tenth of its time."""
    monkeypatch.setattr(Stylesheet, "_parse_rules", _parsed)


_parse: Callable[..., list[RuleSet]] = Stylesheet._parse_rules
_styles: dict[object, list[RuleSet]] = {}


def _parsed(sheet: Stylesheet, css: str, **asked: Any) -> list[RuleSet]:
    key = (css, *sorted(asked.items()), *sorted(sheet._variables.items()))
    if key not in _styles:
        _styles[key] = _parse(sheet, css, **asked)
    return _styles[key]


@cache
def _read_designs(files: tuple[str, ...]) -> object:
    """The designs in these files, which differ from test to test unless they are the shipped ones."""
    return shipped_designs.shipped_designs()
