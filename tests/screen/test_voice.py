"""The voice at the bench: what it says after each press, and that the bench works on when it fails."""

import re
from collections.abc import Callable

import pytest

from benchmate.craft.wording.prompt_parts import Level
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions.trouble import small_trouble
from benchmate.settings import DEFAULTS
from benchmate.store.pieces import Pieces
from tests.screen.benches import FOUR_KNOTS, PICTURE, STRIPE, WRITTEN, full
from tests.screen.hands import sitting
from tests.voices import Recorder

SPOKEN = DEFAULTS._replace(voice="on")
SHORT = SPOKEN._replace(level="short")


async def test_the_voice_is_off_until_turned_on(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "left", "r", "space")
        assert (voice().said, voice().switched) == ([], [])
        await hands.press("v")
        assert "Voice on." in hands.words
        assert voice().words == ["row 1 of 12, straw, third from the left, forward over straw"]
        await hands.press("v")
        assert "Voice off." in hands.words
        assert voice().switched == ["on", "off"]
        await hands.press("space", "r")
        assert len(voice().said) == 1
    assert voice().switched[-1] == "close"


async def test_each_press_is_answered(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        assert voice().switched == ["on"]
        await hands.press("space", "space", "space", "left", "left")
    assert voice().words == [
        "row 1 of 12, plum, first from the left, forward over mossy green",
        "straw, third from the left, forward over straw",
        f"plum, first from the right, backward over mossy green. {small_trouble.ALOUD[small_trouble.SHOWS]}",
        # The strings now hang as mossy green, plum, straw, straw, plum, mossy green.
        f"row 1 done, plum, second from the left, forward over straw. {small_trouble.ALOUD[small_trouble.PLACE]}",
        "undo backward, plum over mossy green, plum back, first from the right",
        "undo forward, straw over straw, straw back, third from the left",
    ]


async def test_how_much_is_said_and_how_it_sounds(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    settings = SPOKEN._replace(level="sparse", rate=210, volume=40, language="en-gb", speaker="gmw/en")
    async with sitting(kept, chevron, settings=settings) as hands:
        await hands.press("space")
    assert voice().words == ["row 1, first from left, forward", "third from left, forward"]
    assert {said.options for said in voice().said} == {(210, 0.4, "gmw/en", "en-gb")}


async def test_one_press_for_a_row(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SHORT._replace(press="row")) as hands:
        await hands.press("space")
    assert voice().words == [
        "plum, first from the left, pairs right, 2 forward, then backward",
        "plum, second from the left, pairs right, forward, then backward",
    ]


MANY = """\
benchmate: 1
title: Twenty strings
family: diagonal
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
strings: [deep, foam, foam, deep, deep, foam, deep, deep, foam, foam, foam, deep, foam, foam, deep, deep, foam, deep]
rows:
  - f b fb bf f f b b fb
  - b bf f b f fb f f
"""


def knots_in(words: str, level: Level) -> int:
    """How many knots a prompt says; at the sparse level a number alone counts knots of a kind that is known."""
    if level is Level.SPARSE:
        words = re.sub(r"row \d+|(?<=, )(\d+)(?=,|$)", lambda found: f"{found[1]} forward" if found[1] else "", words)
    knots = re.findall(r"(?:(\d+) )?(?:forward-backward|backward-forward|forward|backward)", words)
    return sum(int(number or 1) for number in knots)


@pytest.mark.parametrize("level", Level)
@pytest.mark.parametrize("text", [MANY, PICTURE], ids=["band", "picture"])
async def test_one_press_counts_what_its_prompt_says_and_the_screen_shows(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder], level: Level, text: str
) -> None:
    opened = begin(text)
    held = opened.held
    shorter = False
    async with sitting(kept, opened, settings=SPOKEN._replace(level=level.value, press="row")) as hands:
        while held.progress.next is not None:
            row, before = held.steps_of_press("row"), held.progress.done
            said, (shown,) = knots_in(voice().last, level), re.findall(r"one press: (\d+)", hands.words)
            await hands.press("r")
            again = knots_in(voice().last, Level.FULL)
            await hands.press("space")
            counted = held.progress.done - before
            assert 1 <= counted == said == int(shown) == again <= len(row)
            shorter |= counted < len(row)
        assert shorter or level is Level.FULL
    # With the voice off, it counts the whole row.
    other = begin(text)
    async with sitting(kept, other, settings=DEFAULTS._replace(level=level.value, press="row")) as hands:
        row = other.held.steps_of_press("row")
        await hands.press("space")
        assert other.held.progress.done == len(row)


async def test_knots_have_the_names_that_the_maker_chose(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, begin(FOUR_KNOTS), settings=SHORT._replace(knot_names="larks-head")) as hands:
        assert "lark's head forward" in voice().last
        await hands.press("r")
        assert "lark's head forward over sand" in voice().last
        await hands.press("space")
        assert "lark's head backward" in voice().last
        await hands.press("left")
        assert voice().last.startswith("undo lark's head forward")
        await hands.press("s", "enter")
        assert "lark's head forward" in voice().last
        # The trade's other name for it, chosen on the screen, is heard at once.
        await hands.press(*["down"] * 4, "right", "enter")
        assert "lark's head" not in voice().last
        assert "forward-backward" in voice().last


async def test_again_says_it_in_full(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SPOKEN._replace(level="sparse")) as hands:
        await hands.press("space", "r")
        assert voice().last == "row 1 of 12, straw, third from the left, forward over straw"
        assert "Forward, 3 straw over 4 straw" in hands.legible


async def test_what_only_a_cut_off_prompt_said_is_said_again(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, begin(STRIPE), settings=SHORT) as hands:
        assert voice().last == "row 1, deep, first from the left, forward"
        voice().speaking = True
        await hands.press("space")
        assert voice().last == "second from left, forward", "the prompt that said where deep hangs was cut off"
        voice().speaking = False
        await hands.press("space")
        assert voice().last == "3"
        voice().speaking = True
        await hands.press("left")
        assert voice().last == "undo forward"
        await hands.press("space")
        assert voice().last == "third from left, forward"
        voice().speaking = False
        await hands.press("space")
        assert voice().last == "4"


async def test_hands_that_are_faster_than_the_voice_hear_less(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        voice().speaking = True
        await hands.press("space", "space", "space", "space")
        assert voice().words[1:] == [
            "straw, third from the left, forward",
            "first from right, backward",
            "row done, second from left, forward",
            "second from right, backward",
        ]
        voice().speaking = False
        await hands.press(*["space"] * 5)
        assert all(" over " not in words for words in voice().words[5:])
        await hands.press(*["space"] * 6)
        assert " over " in voice().last, "heard to the end often enough"
        voice().speaking = True
        await hands.press("space")
        assert " over " not in voice().last
        await hands.press("v", "v")
        assert " over " in voice().last


async def test_several_steps_undone_quickly_are_all_named(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    chevron.held.jump(6)
    async with sitting(kept, chevron, settings=SHORT) as hands:
        voice().speaking = True
        await hands.press("left", "left", "left")
        assert voice().last == "undo 3, back to forward, plum over straw"
        voice().speaking = False
        await hands.press("left")
        assert voice().last == "undo backward, plum over mossy green"


async def test_a_voice_that_could_not_speak_is_retried(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        voice().failed = True
        await hands.press("v")
        assert "Voice on." in hands.words
        assert voice().switched == ["on", "on"]
        await hands.press("r")
        assert voice().switched == ["on", "on", "on"]
        await hands.press("p", "space")
        assert voice().switched == ["on", "on", "on", "on"]


async def test_a_new_meaning_of_a_press_is_spoken(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SHORT) as hands:
        await hands.press("m", "m")
        assert voice().last == "plum, first from the left, pairs right, 2 forward, then backward"
        assert "One press now: the rest of the row, as much as one instruction says." in hands.words
        await hands.press("m")
        assert "One press now: a knot." in hands.words


async def test_on_the_way_to_a_wrong_knot(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    chevron.held.jump(2)
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("u", "left", "enter")
        assert voice().last == "take out the wrong knot, string 1 and string 2, the last one to take out"
        await hands.press("r")
        assert voice().last == "take out the wrong knot, string 1 and string 2, the last one to take out"
        await hands.press("escape")
        assert voice().last == "row 1 of 12, plum, first from the right, backward over mossy green"
        await hands.press("u", "left", "enter", "space")
        words = "all out, plum, first from the left, forward over mossy green"
        assert voice().last == f"{words}. If the strings hang wrong now: u, s"


async def test_a_jump_is_said(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("j", "3", "enter")
    assert voice().last == "jumped to row 3 of 12, mossy green, first from the left, forward over straw"


async def test_a_new_way_of_working_is_spoken_in_full(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SHORT) as hands:
        await hands.press("space", "w", "s")
        assert voice().last.startswith("row 1, ")
        await hands.press("o", "down")
        said = len(voice().said)
        await hands.press("enter")
        assert len(voice().said) == said + 1
        assert "row" not in voice().last


async def test_written_steps(kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, begin(WRITTEN), settings=SPOKEN._replace(tick="on")) as hands:
        await hands.press("space", "space", "space", "space", "space")
        await hands.press("r")
    assert voice().words == [
        "step 1 of 4, Fold the string over a pin. Leave a loop as wide as a button",
        "Twist. 1 of 3",
        "2 of 3, Twist",
        "3 of 3, Twist",
        "the piece is done",
        "the piece is done",
        "the piece is done",
    ]
    assert {said.sounds for said in voice().said} == {None}


async def test_a_tick_at_the_end_of_a_run(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    two_runs = "\n".join(
        (
            "benchmate: 1",
            "title: Two runs",
            "family: diagonal",
            "colours: {deep: '#0b3c5d', foam: '#f4f1de'}",
            "strings: [deep, foam, foam]",
            "rows: ['f', 'f', 'f']",
        )
    )
    async with sitting(kept, begin(two_runs), settings=SHORT._replace(tick="on")) as hands:
        await hands.press("space", "space", "space", "left", "r")
        assert [said.heard == ["tick"] for said in voice().said] == [False, False, True, True, False, False]
    async with sitting(kept, begin(two_runs), settings=SHORT) as hands:
        await hands.press("space", "space", "space")
        assert len(voice().said) == 4
        assert all(said.sounds is None for said in voice().said)


async def test_an_unsaved_step_is_said_to_be_unsaved(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("space")
        said = voice().words

        monkeypatch.setattr(Pieces, "add", full)
        await hands.press("space")
        assert "NOT SAVED, NOT COUNTED" in hands.words
        assert voice().words == [
            *said,
            "not saved, not counted, row 1 of 12, straw, third from the left, forward over straw",
        ]


async def test_a_read_only_window_says_no_step_until_it_takes_over(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("space")
        assert chevron.held.piece is not None
        kept.pieces.hold(chevron.held.piece, "somebody else", force=True)
        said = voice().words
        await hands.press("space")
        assert "Read-only: open in another window" in hands.words
        assert voice().switched[-1] == "hush"
        await hands.press("space", "left", "r")
        assert voice().words == [*said, *["read-only"] * 3]
        await hands.press("t")
        assert voice().last == "row 1 of 12, straw, third from the left, forward over straw"


async def test_the_bench_says_once_why_the_voice_fails_and_works_on(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        voice().report("There is no player: [/b] install one.")
        await hands.catch_up()
        assert "There is no player: [/b] install one." in hands.words
        await hands.press("space")
        assert "There is no player" not in hands.words
        assert "1/30" in hands.text
        await hands.press("j")
        voice().report("There is no card.")
        await hands.catch_up()
        await hands.press("escape")
        assert "There is no card." in hands.words
    async with sitting(kept, None, settings=SPOKEN) as hands:
        voice().report("There is no engine.")
        await hands.catch_up()
        assert "There is no engine." in hands.words


async def test_leaving_a_piece_silences_the_voice(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    chevron.held.tie([0])
    chevron.held.let_go()
    async with sitting(kept, None, settings=SPOKEN) as hands:
        await hands.press("enter", "q")
        assert voice().switched == ["on", "hush"]
        said = len(voice().said)
        await hands.press("enter")
        assert len(voice().said) == said + 1
