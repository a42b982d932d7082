"""The band beside a question says what is drawn and what its signs mean; every key is named in any window."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.bench.screens.trouble.found_screen import FoundScreen
from benchmate.bench.screens.trouble.lettered_band import Band, draw_band
from benchmate.craft.knots import Knot
from benchmate.design_files.shelf import path_of
from benchmate.display.palette import DARK
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions.trouble.hanging_colours import lettered
from tests.screen.benches import PICTURE
from tests.screen.erring import ASKED, TWELVE, answer_all, really_made, searched, strings_told, tell_strings
from tests.screen.hands import Hands, sitting

Begin = Callable[..., OpenedPiece]


def picture(hands: Hands, width: int = 40) -> str:
    """What stands at the right edge."""
    return "\n".join(line[-width:] for line in hands.lines)


async def test_the_band_says_what_it_shows(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    band = really_made(held, {88: Knot.BACKWARD_FORWARD})
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        assert "As charted" in picture(hands)
        await hands.press("c")
        assert "As charted" in picture(hands)
        await hands.press("escape")
        await tell_strings(hands, held, band)
        assert "As charted" in picture(hands)
        assert "x could be wrong" in picture(hands)
        charted = picture(hands)
        await hands.press("down")
        assert "If x is wrong" in picture(hands)
        assert "could be" not in picture(hands)
        assert "1 of" in hands.words
        assert ASKED.search(hands.legible) is None, "the place of the explanation stands where the question stood"
        await hands.press("up")
        assert picture(hands) == charted
        await answer_all(hands, held, band)
        await hands.press("3", "space", "u")
        assert "As really made" in picture(hands)
        assert "x wrong" in picture(hands)
        await hands.press("c")
        assert "As really made" in picture(hands)


async def test_the_one_explanation_that_is_left_is_drawn_as_really_made(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: Knot.BACKWARD_FORWARD}) as (hands, _, _):
        await hands.press("down")
        looked_at = picture(hands)
        await hands.press("enter")
        await searched(hands)
        assert "Taken as wrong: this knot." in hands.words
        assert "As really made" in picture(hands)
        after = [line for line in picture(hands).splitlines()[1:-1] if "?" not in line]
        assert all(line.split()[1:] == there.split()[1:] for line, there in _same_rows(after, looked_at))


def _same_rows(lines: list[str], other: str) -> list[tuple[str, str]]:
    """The lines of both pictures that have one row's number and knots, below the wrong knot."""
    by_number = {line.split()[0]: line for line in other.splitlines() if line.split() and line.split()[0].isdigit()}
    found = [(line, by_number[line.split()[0]]) for line in lines if line.split() and line.split()[0] in by_number]
    assert found
    return found


async def test_a_colour_that_was_told_is_drawn(kept: Kept, begin: Begin) -> None:
    held = begin(TWELVE, done=110).held
    (first, last), piece = held.whole.span(20), held.whole
    letters = {colour.name: colour.letter for colour in lettered(piece.main.design)}
    told: dict[int, str | None] = {first: None, last - 1: "plum"}

    def drawn(shown: dict[int, str | None]) -> list[str]:
        band = Band(piece, letters, held.progress.is_tied, {}, 20, title="As charted", shown=shown)
        return ["".join(span.text for span in spans) for spans in draw_band(band, 40, 6, DARK)]

    before, after = drawn({}), drawn(told)
    assert before[0].strip() == after[0].strip() == "As charted"
    row = next(line for line in before if line.startswith(">20"))
    now = next(line for line in after if line.startswith(">20"))
    knots = {step: piece.main.design.body.colour_of(piece.knotting(step)) for step in told}
    assert knots[last - 1] != "plum"
    assert row.split()[1] == letters[knots[first]]
    assert (now.split()[1], now.split()[-1]) == ("-", "p")
    assert now.split()[2:-1] == row.split()[2:-1]
    assert after[-1].strip() == "- no knot"


async def test_a_letter_answers_only_what_is_asked_on_the_screen(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: Knot.BACKWARD_FORWARD}) as (hands, _, _):
        screen = hands.app.screen
        assert isinstance(screen, FoundScreen)
        await hands.press("down", "question_mark", "p", "m", "i", "s")
        assert not screen._went.answered
        assert "1 of" in hands.words
        await hands.press("up", "question_mark")
        assert screen._went.answered


async def test_the_signs_of_each_way_have_its_own_words(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: Knot.BACKWARD_FORWARD}, size=(120, 36)) as (
        hands,
        held,
        band,
    ):
        await answer_all(hands, held, band)
        await searched(hands)
        said = []
        for _ in range(3):
            said.append(
                [words for words in ("x wrong", "* comes out", "* changed", "! another colour") if words in hands.words]
            )
            await hands.press("down")
        assert said == [
            ["x wrong", "* comes out"],
            ["x wrong", "* changed", "! another colour"],
            ["x wrong", "! another colour"],
        ]


@pytest.mark.parametrize(
    ("keys", "named"),
    [
        ("u", "walk enter escape s: c: w: l: h:"),
        ("u c", "letter: digit: escape:"),
        ("u s", "letter: enter: left/right/number: escape: backspace up/down:"),
        ("u s p p enter", "escape: backspace:"),
        ("u c 2", "1 2 3: tab: escape: up/down:"),
        ("u c 2 down", "1 2 3: enter: tab: escape: up/down:"),
        ("u c 2 tab", "1 2 3: tab: escape: page down:"),
        ("u c 2 3 u k", "walk enter: escape: t: a: k: s: c: w: l: h:"),
        ("u w enter", "up/down: digits: backspace: escape:"),
        ("u w enter down", "enter: up/down: digits: backspace: escape:"),
    ],
)
async def test_every_key_is_named_and_nothing_is_cut(kept: Kept, begin: Begin, keys: str, named: str) -> None:
    async with sitting(kept, begin(TWELVE, done=110), size=(40, 12)) as hands:
        for key in keys.split():
            await hands.press(key)
            await searched(hands)
        for size in ((40, 12), (80, 24), (200, 60)):
            await hands.pilot.resize_terminal(*size)
            await hands.catch_up()
            words = hands.words
            missing = [key for key in named.split() if key not in words]
            assert not missing, (size, missing, hands.text)
            assert ".." not in hands.legible, (size, hands.text)


async def test_a_picture_says_at_which_place_it_is(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(PICTURE, done=8)) as hands:
        await hands.press("j", "w")
        assert "Nearest place" in hands.words or "At this place" in hands.words


async def test_every_way_in_which_two_knots_can_have_been_made_is_shown(kept: Kept, begin: Begin) -> None:
    chevron = Path(path_of("tidewater-chevron")).read_text(encoding="utf-8")
    async with sitting(kept, begin(chevron), size=(40, 12)) as hands:
        await hands.press(*"jr24", "enter", *["space"] * 3)
        await hands.press("u", "s", *"dkkffd", "enter")
        await searched(hands)
        await hands.press("down", "enter")
        await searched(hands)
        for _ in range(2):
            await hands.press("question_mark")
            await searched(hands)
        screen = hands.app.screen
        assert isinstance(screen, FoundScreen)
        ways = list(screen._ways.values())
        assert len(ways) > 4
        assert "? can't tell" in hands.words
        for way in ways:
            await hands.press("down")
            assert "up/down: more" in hands.words
            assert way in hands.words, hands.text
        await hands.press(*["up"] * 20)
        assert "? can't tell" in hands.words
