"""The length of the band line by line: how long it is now, how long it is to be, and what follows from it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.piece_opening import Kept
from benchmate.piece_voice import PieceVoice
from benchmate.settings import DEFAULTS, write_settings
from benchmate.store import places
from benchmate.store.errors import StoreError
from benchmate.store.thread.gauges import estimate_of
from tests.screen.benches import ROPE
from tests.unit.test_plain_actions import TEN, Told, answered

HUNDRED = TEN.replace("repeats: 6", "repeats: 60")
"""120 rows, which are 15.6 cm by the shipped gauge; 48 rows are 216 knots."""
TIED = 216

Talks = Callable[..., Told]


@pytest.fixture
def talk(kept: Kept, tmp_path: Path) -> Talks:
    """Answers a piece of the design in which so many knots are tied."""

    def talks(*answers: str, text: str = HUNDRED, done: int = TIED, band_mm: float | None = None) -> Told:
        file = tmp_path / "design.yaml"
        file.write_text(text, encoding="utf-8")
        opened = openings.follow(kept, str(file), openings.WorkingOptions(band_mm=band_mm), new=True)
        opened.held.hold()
        if done:
            opened.held.jump(done)
        return answered(opened, *answers)

    return talks


def test_how_long_it_is_now(talk: Talks) -> None:
    told = talk("length now 7.2 cm", "", "q")
    assert "Measured: 7.2 cm over 48 rows, 1.50 mm a row; reckoned with 1.30." in told.others
    assert "With 60 repeats, 120 rows it will be 18 cm." in told.others
    assert "3: keep this row height in the gauge floss" in told.others


def test_the_repeats_for_a_wrist_are_taken(kept: Kept, talk: Talks) -> None:
    told = talk("length now 72 mm", "", "length wrist 15", "1", "1", "", "q")
    # 165 mm are 110 rows of 1.5 mm, 55 repeats.
    assert "For 16.5 cm: row 110, 62 rows left." in told.others
    assert "1: repeats that fit: 55, row 110 (62 left), 16.5 cm" in told.others
    assert "Now 55 repeats, 110 rows." in told.others
    assert told.steps[-1].startswith("218/495 ")
    assert [piece.size for piece in kept.pieces.all()] == [495]


def test_the_rows_for_a_length_are_taken_from_all_choices(talk: Talks) -> None:
    # 131 rows of 1.3 mm are nearest to 170 mm.
    told = talk("length wanted 17 cm", "", "length", "7", "1", "q")
    assert "7: rows that fit: 131 (83 left), 17 cm" in told.others
    assert "Now 131 rows." in told.others


def test_it_is_asked_for_where_no_length_stands_behind_the_word(talk: Talks) -> None:
    told = talk("length now", "7.2", "", "length", "7", "15 cm", "", "q")
    assert any("It is now. Measure from the first row to the end of row 48" in line for line in told.others)
    assert "For 16.5 cm: row 110, 62 rows left." in told.others
    assert talk("length wrist", "", "", "q").steps[-1].startswith("218/540 "), "nothing typed leaves it"


def test_an_absurd_number_is_asked_about_once(talk: Talks) -> None:
    told = talk("length wrist 170", "170", "", "q")
    assert told.err[0].startswith("1 m 70 cm? A wrist is usually ")
    assert told.err[0].endswith("Type it again to take it.")
    assert len(told.err) == 1
    assert any(line.startswith("For 1 m 71.5 cm: row ") for line in told.others)


def test_what_is_no_length_is_refused(talk: Talks) -> None:
    told = talk("length now soon", "", "length forever", "q")
    assert told.err[0].startswith("Type a length above 0")
    assert "length now 64 mm, length wrist 17 cm, length wanted 18 cm" in told.err[1]


def test_before_a_row_is_whole_and_in_other_families(talk: Talks) -> None:
    assert talk("length now 3 cm", done=3).err == ["No row is whole yet: measure it after the first one."]
    assert talk("length wrist 15", text=ROPE, done=3).err == ["Rows do not say how long this piece is."]


def test_a_length_given_at_the_beginning_is_known(talk: Talks) -> None:
    assert "7: rows that fit: 131, 17 cm" in talk("length", "", "q", done=0, band_mm=170.0).others


def test_the_row_height_is_kept_in_the_gauge_and_taken_back(
    kept: Kept, talk: Talks, monkeypatch: pytest.MonkeyPatch
) -> None:
    def row_mm() -> float:
        estimate = estimate_of(kept.home, "floss")
        assert estimate is not None
        return estimate.gauge.row_mm

    def fails(*_: object, **__: object) -> int:
        raise StoreError("The disk is full.")

    told = talk("length now 7.2", "3", "q")
    assert "Kept in the gauge floss." in told.others
    assert 1.4 < row_mm() < 1.5
    kept_so = row_mm()
    told = talk("length now 7.2", "3", "length", "9", "q")
    assert "Taken back from the gauge floss." in told.others
    assert row_mm() == kept_so
    with monkeypatch.context() as patch:
        patch.setattr("benchmate.piece_questions.band_length.record", fails)
        assert talk("length now 7.2", "3", "q").err == ["Not kept. The disk is full."]
    assert row_mm() == kept_so


def test_in_inches(kept: Kept, talk: Talks) -> None:
    write_settings(places.settings_file(), DEFAULTS._replace(units="inches"))
    told = talk("length now 2 7/8", "", "length wrist 6", "", "q")
    # 73.0 mm over 48 rows; the wrist is 152.4 mm, the band 167.4.
    assert "Measured: 2⅞ in over 48 rows, 1.52 mm a row; reckoned with 1.30." in told.others
    assert any(line.startswith("For 6⅝ in: row 110") for line in told.others)
    assert kept.home.folder == places.settings_file().parent


def test_it_is_said_aloud(talk: Talks, monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    monkeypatch.setattr(PieceVoice, "say", lambda _, words: said.append(words))
    write_settings(places.settings_file(), DEFAULTS._replace(voice="on"))
    talk("voice", "length now 7.2", "", "q")
    assert any("Measured: 7.2 cm over 48 rows" in words for words in said)
