"""How long the band is now, and how long it is to be, on the screen HOW LONG."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.screens.ending.length import LengthScreen
from benchmate.bench.screens.thread.number_screen import NumberScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from benchmate.store.thread.gauges import estimate_of
from tests.running import COMMAND, environment
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN, full, written_to
from tests.screen.hands import Hands, sitting
from tests.screen.test_length import sizes
from tests.terminal import Terminal
from tests.voices import Recorder

LONG = CHEVRON.replace("repeats: 3", "repeats: 30")
"""120 rows, which are 15.6 cm by the shipped gauge."""
TIED = 122
"""The first 48 rows, of 5 knots in two, and two knots of row 49."""


def now(hands: Hands) -> LengthScreen:
    screen = hands.app.screen
    assert isinstance(screen, LengthScreen)
    return screen


async def type_length(hands: Hands, line: str, *typed: str) -> None:
    """Chooses a line that asks for a length, and types it."""
    await choose_down(hands, line)
    await hands.press("enter")
    assert isinstance(hands.app.screen, NumberScreen)
    await hands.press(*typed, "enter")


async def choose_down(hands: Hands, line: str) -> None:
    """Moves to the line of the list, which may be above."""
    for key in (*["up"] * 12, *["down"] * 12):
        if any(text.strip().startswith("> ") and line in text for text in hands.lines):
            return
        await hands.press(key)
    raise AssertionError(hands.text)


async def test_measured_and_wanted_it_says_what_is_left_and_takes_the_repeats(
    kept: Kept, begin: Callable[..., OpenedPiece]
) -> None:
    async with sitting(kept, begin(LONG, done=TIED)) as hands:
        await hands.press("e")
        assert "that fit" not in hands.words
        await choose_down(hands, "how long is it now?")
        assert "Measure it, and see how many rows are left." in hands.words
        await hands.press("enter")
        assert "end of row 48" in hands.words
        await hands.press("7", ".", "2", "enter")
        # 72 mm over 48 rows are 1.5 mm a row; 120 rows of them 18 cm.
        assert "Measured: 7.2 cm over 48 rows, 1.50 mm a row; reckoned with 1.30." in hands.words
        assert "With 30 repeats, 120 rows it will be 18 cm." in hands.words
        await type_length(hands, "for a wrist", "1", "5", "0", "space", "m", "m")
        # 165 mm are 110 rows, 27.5 repeats of 6 mm: half-way it is the longer, 28.
        assert "> repeats that fit: 28, row 112 (64 left), 16.8 cm" in hands.words
        assert "For 16.5 cm: row 110, 62 rows left." in hands.words
        assert "A repeat ends at row 108 (16.2 cm) and at row 112 (16.8 cm)." in hands.words
        assert "rows that fit: 110 (62 left), 16.5 cm" in hands.words
        await hands.press("enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert "122/280" in hands.text
        assert "Now 28 repeats, 112 rows." in hands.words
    assert sizes(kept) == [(122, 280)]


async def test_what_was_said_stays_known_while_the_piece_is_open(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(LONG, done=TIED)) as hands:
        await hands.press("e")
        await type_length(hands, "for a length", "1", "7")
        await hands.press("escape", "space", "e")
        # The press has ended row 49. 131 rows of 1.3 mm are 170.3; 33 repeats 171.6, 32 repeats 166.4.
        assert "repeats that fit: 33, row 132 (83 left), 17.2 cm" in hands.words
        await choose_down(hands, "rows that fit: 131 (82 left), 17 cm")
        await hands.press("enter")
        assert "Now 131 rows." in hands.words


async def test_a_thread_that_is_not_known_teaches_the_gauge_of_floss(
    kept: Kept, begin: Callable[..., OpenedPiece]
) -> None:
    async with sitting(kept, begin(LONG.replace("family:", "thread: linen\nfamily:"), done=TIED)) as hands:
        await hands.press("e")
        await type_length(hands, "how long is it now?", "7", ".", "2")
        await choose_down(hands, "keep this row height in the gauge floss")
        await hands.press("enter")
        assert "Kept in the gauge floss." in hands.words
    assert estimate_of(kept.home, "linen") is None
    found = estimate_of(kept.home, "floss")
    assert found is not None
    assert found.gauge.row_mm == pytest.approx(1.5, abs=0.02)


async def test_a_length_given_at_the_beginning_is_known(kept: Kept, tmp_path: Path) -> None:
    file = written_to(tmp_path, LONG)
    opened = openings.follow(kept, str(file), openings.WorkingOptions(repeats=33, band_mm=171.0), new=False)
    opened.held.hold()
    async with sitting(kept, opened) as hands:
        await hands.press("e")
        assert "repeats that fit: 33, row 132" in hands.words
        assert "how long is it now?" not in hands.words, "no row is whole yet"


async def test_an_absurd_measure_is_asked_about_once_and_a_word_is_refused(
    kept: Kept, begin: Callable[..., OpenedPiece]
) -> None:
    async with sitting(kept, begin(LONG, done=TIED)) as hands:
        await hands.press("e")
        await choose_down(hands, "how long is it now?")
        await hands.press("enter", "l", "o", "n", "g", "enter")
        assert "Type a length above 0" in hands.words
        await hands.press(*["backspace"] * 4, "3", "0", "enter")
        assert "30 cm? A band of 48 rows of floss is usually" in hands.words
        await hands.press("enter")
        assert now(hands)._band.known.measured == (300.0, 48)


async def test_escape_takes_nothing(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(LONG, done=TIED)) as hands:
        await hands.press("e")
        await choose_down(hands, "for a wrist")
        await hands.press("enter", "9", "escape")
        assert "> for a wrist" in hands.words
        assert "repeats that fit:" not in hands.words


async def test_the_row_height_is_kept_in_the_gauge_and_taken_back(
    kept: Kept, begin: Callable[..., OpenedPiece], monkeypatch: pytest.MonkeyPatch
) -> None:
    def row_mm() -> float:
        estimate = estimate_of(kept.home, "floss")
        assert estimate is not None
        return estimate.gauge.row_mm

    async with sitting(kept, begin(LONG, done=TIED)) as hands:
        await hands.press("e")
        await type_length(hands, "how long is it now?", "7", ".", "2")
        await choose_down(hands, "keep this row height in the gauge floss")
        with monkeypatch.context() as patch:
            patch.setattr("benchmate.piece_questions.band_length.record", full)
            await hands.press("enter")
        assert "Not kept. The disk is full." in hands.words
        assert row_mm() == 1.3
        await hands.press("enter")
        assert "Kept in the gauge floss." in hands.words
        assert 1.4 < row_mm() < 1.5
        assert "> take back this row height" in hands.words
        await hands.press("enter")
        assert "Taken back from the gauge floss." in hands.words
        assert row_mm() == 1.3


async def test_over_few_rows_it_says_that_it_is_rough(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON, done=7)) as hands:
        await hands.press("e")
        await type_length(hands, "how long is it now?", "3", "space", "m", "m")
        assert "Over so few rows that is rough: measure again later." in hands.words


async def test_a_picture_is_measured_too_and_kept_as_such(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(PICTURE.replace("repeats: 2", "repeats: 9"), done=100)) as hands:
        await hands.press("e")
        # 20 rows are whole; 1.9 mm each.
        await type_length(hands, "how long is it now?", "4")
        assert "4 cm over 20 rows, 2.00 mm a row; reckoned with 1.90." in hands.words
        await choose_down(hands, "keep this row height")
        await hands.press("enter")
    estimate = estimate_of(kept.home, "floss")
    assert estimate is not None
    assert estimate.gauge.row_mm == 1.3
    assert estimate.gauge.base_mm > 1.9


@pytest.mark.parametrize("text", [ROPE, WRITTEN])
async def test_braids_and_written_steps_have_no_rows_to_measure(
    kept: Kept, begin: Callable[..., OpenedPiece], text: str
) -> None:
    async with sitting(kept, begin(text, done=2)) as hands:
        await hands.press("e")
        assert "how long is it now?" not in hands.words
        assert "for a wrist" not in hands.words


async def test_rows_that_cannot_repeat_are_not_possible(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    once = CHEVRON.replace("repeats: 3\n", "").replace("  - f b\n  - f f b\n  - f b\n", "  - f b\n  - f f b\n")
    async with sitting(kept, begin(once, done=1)) as hands:
        await hands.press("e")
        await type_length(hands, "for a wrist", "1", "5")
        assert "Not possible: row 1 and the last row both start at position 1" in hands.words
        await hands.press("enter")
        assert isinstance(hands.app.screen, LengthScreen)


async def test_a_finished_band_is_measured_to_its_end(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON, done=30)) as hands:
        await hands.press("space", "e")
        await choose_down(hands, "how long is it now?")
        await hands.press("enter")
        assert "end of row 12" in hands.words
        await hands.press("1", ".", "6", "enter")
        await type_length(hands, "for a length", "1", ".", "5", "enter")
        assert "With 12 rows it is 1 mm longer than wanted." in hands.words


async def test_it_is_all_heard(kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]) -> None:
    opening = begin(LONG, done=TIED)
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level="short")) as hands:
        await hands.press("e")
        await choose_down(hands, "how long is it now?")
        assert voice().last.startswith("how long is it now?")
        await hands.press("enter")
        assert "It is now" in voice().last
        assert "end of row 48" in voice().last
        await hands.press("7", ".", "2", "enter")
        said = voice().last
        assert "Measured: 7.2 cm over 48 rows" in said
        await type_length(hands, "for a wrist", "1", "5")
        assert voice().last.startswith("repeats that fit: 28, row 112 (64 left), 16.8 cm")


@pytest.mark.parametrize(("columns", "rows"), [(40, 12), (80, 24)])
def test_in_a_terminal_by_its_keys_alone(home: Path, tmp_path: Path, columns: int, rows: int) -> None:
    command = [*COMMAND, "follow", str(written_to(tmp_path, LONG)), "--wrist", "150"]
    env = environment(home, {"TERM": "xterm-16color", "COLORTERM": "", "NO_COLOR": "1"})

    def chosen(line: str) -> Callable[[Terminal], bool]:
        return lambda terminal: any(text.strip().startswith(f"> {line}") for text in terminal.lines)

    with Terminal(command, columns=columns, rows=rows, env=env) as terminal:
        terminal.wait_until(lambda terminal: "0/320" in terminal.text)
        # What was worked out from the wrist is seen now, not when the screen is left.
        terminal.wait_until(lambda terminal: "32 repeats" in " ".join(terminal.text.split()))
        terminal.press("j")
        terminal.wait_until(chosen("go to row: _"))
        terminal.press("4", "9", gap=0.16)
        # Where there is little room, it stands in the heading.
        terminal.wait_until(lambda terminal: "go to row: 49" in terminal.text)
        terminal.press("enter")
        terminal.wait_until(lambda terminal: "120/320" in terminal.text)
        terminal.press("e")
        terminal.wait_until(chosen("as it is: 32 repeats"))
        for _ in range(7):
            terminal.press("down", gap=0.16)
        terminal.wait_until(chosen("how long is it now?"))
        terminal.press("enter")
        terminal.wait_until(lambda terminal: "end of row 48" in " ".join(terminal.text.split()))
        terminal.press("7", ".", "2", gap=0.16)
        terminal.wait_until(lambda terminal: "That is 7.2 cm." in terminal.text or columns < 80)
        terminal.press("enter", gap=0.16)
        terminal.wait_until(chosen("repeats that fit: 28, row 112"))
        terminal.press("enter")
        terminal.wait_until(lambda terminal: "120/280" in terminal.text)
        terminal.press("q", gap=0.16)
        assert terminal.exit_code == 0
