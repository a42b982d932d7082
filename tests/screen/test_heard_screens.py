"""With the voice on, the screens over the step screen say what they ask and what is chosen."""

from collections.abc import Callable

import pytest

from benchmate.actions import ACTIONS
from benchmate.bench.screens.question import Answer, Question
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from benchmate.speech.text import LONGEST
from tests.screen.benches import CHEVRON, FOUR_KNOTS
from tests.screen.hands import sitting
from tests.voices import Recorder

SPOKEN = DEFAULTS._replace(voice="on", level="short")


async def test_the_wrong_knot_is_chosen_by_ear(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    opening = begin(CHEVRON, done=8)
    async with sitting(kept, opening, settings=SPOKEN) as hands:
        step = voice().last
        await hands.press("u")
        assert voice().last == (
            "Which is wrong? row 3, knot 8, backward, 6 mossy green over 5 straw. Undo only this one. "
            "Left or right: walk, up or down: by row, enter: this one, escape: none, s: type how the strings hang, "
            "c: its colour, or how you made it, w: where am I, l: a string runs short, h: small trouble"
        )
        await hands.press("left")
        assert voice().last == "row 3, knot 7, forward, 3 plum over 4 plum", "to undo is as much as before"
        await hands.press("up")
        assert voice().last == "row 2, knot 4, forward, 2 plum over 3 straw. Undo 3 knots to reach it, last first"
        said = len(voice().said)
        await hands.press("escape")
        assert voice().words[said:] == [step], "back on the step, which is said again"
        await hands.press("u", "enter")
        assert voice().last.startswith("take out the wrong knot, string 5 and string 6, ")


async def test_going_to_a_row_by_ear(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("j")
        assert voice().last.startswith("Go to. Which row? This piece has 12 rows. go to row. digits, ")
        await hands.press("3")
        assert voice().last.startswith("go to row: 3. There: knot 6, forward, ")
        assert (
            "5 knots not tied yet will be counted as tied. Strings there, from the left: mossy green, " in voice().last
        )
        await hands.press("enter")
        assert voice().last.startswith("jumped to row 3, ")


@pytest.mark.parametrize(
    ("key", "first"),
    [
        ("w", "Way. Working by rows. Pick-ups left: 30 by rows, "),
        ("o", "Different knot. Which one did you tie? 3 are possible. This is number 1. row 1, forward, 1 plum over "),
        ("e", "How long. Nothing changes. Now: 3 repeats"),
    ],
)
async def test_a_question_is_heard_and_then_the_step_again(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], key: str, first: str
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        step = voice().last
        said = len(voice().said)
        await hands.press(key)
        assert len(voice().said) == said + 1, "one prompt, which no other cuts off"
        assert voice().last.startswith(first)
        await hands.press("escape")
        assert voice().last == step


async def test_walking_a_list_says_the_chosen_one_first(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("o", "down")
        assert voice().last == "row 1, forward, 3 straw over 4 straw. This is number 2"
        await hands.press("end")
        said = len(voice().said)
        await hands.press("down")
        assert len(voice().said) == said, "nothing new"


async def test_every_answer_of_a_question_is_heard_with_its_key(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("w")
        for answer in ("s: work by segments", "h: work from the right (left-handed)", "m: mirror the design"):
            assert answer in voice().last
        assert voice().last.endswith("c: continue as it is")


async def test_answers_are_heard_however_long_the_texts_are(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        question = Question(hands.app, "NOT SAVED", ["The disk is full. " * 40], [Answer("q", "leave", None)])
        hands.app.push_screen(question)
        await hands.catch_up()
        assert voice().last.startswith("Not saved. The disk is full. ")
        assert voice().last.endswith(", more on the screen. q: leave")
        assert LONGEST - 20 < len(voice().last) <= LONGEST


async def test_the_knots_have_the_names_the_maker_knows_by_ear(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, begin(FOUR_KNOTS, done=2), settings=SPOKEN._replace(knot_names="larks-head")) as hands:
        await hands.press("u")
        assert "row 1, knot 2, lark's head backward, " in voice().last
        await hands.press("left")
        assert "row 1, knot 1, lark's head forward, " in voice().last


async def test_the_keys_are_heard_one_by_one(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=SPOKEN) as hands:
        await hands.press("question_mark")
        assert voice().last.startswith("Keys. Up or down: the next action, ")
        assert voice().last.endswith(f": {ACTIONS[0].says}")
        await hands.press("down")
        assert voice().last == f"left, backspace, page up: {ACTIONS[1].says}"


async def test_with_the_voice_off_no_screen_says_anything(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, begin(CHEVRON, done=8)) as hands:
        await hands.press("u", "left", "escape", "j", "3", "escape", "o", "down", "escape", "w", "escape")
        assert not voice().said
