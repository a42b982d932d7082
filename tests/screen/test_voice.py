"""The voice at the bench: what it says after each press, and that the bench works on when it fails."""

from collections.abc import Callable

import pytest

from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from benchmate.store.pieces import Pieces
from tests.screen.benches import STRIPE, WRITTEN, full
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
        assert voice().words == ["row 1 of 12, straw at 3, forward over straw"]
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
        "row 1 of 12, plum at 1, forward over mossy green",
        "straw at 3, forward over straw",
        "plum at 6, backward over mossy green",
        # The strings now hang as mossy green, plum, straw, straw, plum, mossy green.
        "row 1 done, plum at 2, forward over straw",
        "undo backward, plum over mossy green, plum back at 6",
        "undo forward, straw over straw, straw back at 3",
    ]


async def test_how_much_is_said_and_how_it_sounds(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    settings = SPOKEN._replace(level="sparse", rate=210, volume=40, language="en-gb", speaker="gmw/en")
    async with sitting(kept, chevron, settings=settings) as hands:
        await hands.press("space")
    assert voice().words == ["row 1, plum at 1, forward", "straw at 3"]
    assert {said.options for said in voice().said} == {(210, 0.4, "gmw/en", "en-gb")}


async def test_one_press_for_a_row(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SHORT._replace(press="row")) as hands:
        await hands.press("space")
    assert voice().words == [
        "row 1, from plum at 1 to the right, 2 forward, backward",
        "row done, from plum at 2 to the right, forward, backward",
    ]


async def test_again_says_it_in_full(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SPOKEN._replace(level="sparse")) as hands:
        await hands.press("space", "r")
        assert voice().last == "row 1 of 12, straw at 3, forward over straw"
        assert "Forward, 3 straw over 4 straw" in hands.legible


async def test_what_only_a_cut_off_prompt_said_is_said_again(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, begin(STRIPE), settings=SHORT) as hands:
        assert voice().last == "row 1, deep at 1, forward"
        voice().speaking = True
        await hands.press("space")
        assert voice().last == "row done, deep at 2, forward", "the prompt that said where deep hangs was cut off"
        voice().speaking = False
        await hands.press("space")
        assert voice().last == "row done, forward"
        voice().speaking = True
        await hands.press("left")
        assert voice().last == "undo forward"
        await hands.press("space")
        assert voice().last == "row done, deep at 3, forward"
        voice().speaking = False
        await hands.press("space")
        assert voice().last == "row done, forward"


async def test_hands_that_are_faster_than_the_voice_hear_less(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        voice().speaking = True
        await hands.press("space", "space", "space", "space")
        # The end of a row is said once, with the knot that ends it.
        assert voice().words[1:] == [
            "straw at 3, forward",
            "plum at 6, backward",
            "row done, plum at 2, forward",
            "plum at 5, backward",
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
        assert voice().last == "row 1, from plum at 1 to the right, 2 forward, backward"


async def test_on_the_way_to_a_wrong_knot(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    chevron.held.jump(2)
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("u", "left", "enter")
        assert voice().last == "take out forward, plum at 2 over mossy green, the last one to take out"
        await hands.press("r")
        assert voice().last == "take out forward, plum at 2 over mossy green, the last one to take out"
        await hands.press("escape")
        assert voice().last == "row 1 of 12, plum at 6, backward over mossy green"
        await hands.press("u", "left", "enter", "space")
        assert voice().last == "all out, plum at 1, forward over mossy green"


async def test_a_jump_is_said(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("j", "3", "enter")
    assert voice().last == "jumped to row 3 of 12, mossy green at 1, forward over straw"


async def test_a_new_way_of_working_is_spoken_in_full(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SHORT) as hands:
        await hands.press("space", "w", "s")
        said = len(voice().said)
        assert voice().last.startswith("row 1, ")
        await hands.press("o", "down", "enter")
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
    ]
    assert {said.tick for said in voice().said} == {None}


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
        assert [said.tick is not None for said in voice().said] == [False, False, True, True, False, False]
    async with sitting(kept, begin(two_runs), settings=SHORT) as hands:
        await hands.press("space", "space", "space")
        assert len(voice().said) == 4
        assert all(said.tick is None for said in voice().said)


async def test_an_unsaved_step_is_not_spoken(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("space")
        said = voice().words

        monkeypatch.setattr(Pieces, "add", full)
        await hands.press("space")
        assert "NOT SAVED, NOT COUNTED" in hands.words
        assert voice().words == said


async def test_a_read_only_window_is_silent_until_it_takes_over(
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
        assert voice().words == said
        await hands.press("t")
        assert voice().words == [*said, "row 1 of 12, straw at 3, forward over straw"]


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
