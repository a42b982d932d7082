"""A key held down acts once, on every screen over the step; quick deliberate presses always count."""

from collections.abc import Callable

import pytest

from benchmate.bench.screens.ending.band_picture import PictureScreen
from benchmate.bench.screens.help import HelpPageScreen
from benchmate.bench.screens.thread.number_screen import NumberScreen
from benchmate.bench.screens.trouble.found_screen import FoundScreen
from benchmate.bench.screens.trouble.ways_screen import WaysScreen
from benchmate.bench.screens.wrong_knot import WrongKnotScreen
from benchmate.bench.terminal.judged_key import HeldKey
from benchmate.craft.knots import Knot
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions.typed_numbers import TAKES_IT
from tests.screen.benches import CHEVRON, PICTURE
from tests.screen.erring import TWELVE, really_made, searched, tell_strings
from tests.screen.hands import Hands, sitting

Begin = Callable[..., OpenedPiece]
QUICK = 0.15
"""Seconds between two presses that must count."""


async def held_down(hands: Hands, key: str, delay: float, repeats: int = 5) -> None:
    """Holds a key down: a press, after a while its first repeat, and more at once."""
    await hands.press(key)
    await searched(hands)
    hands.send(key, delay)
    await hands.pilot.pause(0)
    await hands.hold(key, repeats - 1)
    await searched(hands)


def state(hands: Hands, opened: OpenedPiece) -> tuple[object, ...]:
    """What a press can have changed."""
    held = opened.held
    return type(hands.app.screen), held.progress.done, held.wrong, held.made, held.changes, held.wrong, hands.text


@pytest.mark.parametrize(
    "keys",
    [
        *(
            "u",
            "u enter",
            "u space",
            "u c",
            "u c p",
            "u c 2",
            "u s",
            "u s enter",
            "u s enter enter",
            "u h",
            "u h enter",
        ),
        *("u l", "u l enter", "u l escape", "u w", "u w enter", "u escape", "u q", "j", "j 5 enter", "j w enter"),
        *("o", "o enter", "e", "e enter", "e down enter", "question_mark", "question_mark h enter", "w", "w c"),
        *("u s p enter", "u s i i i enter backspace"),
    ],
)
async def test_a_key_held_down_does_what_one_press_does(kept: Kept, begin: Begin, keys: str) -> None:
    *before, key = keys.split()
    ends = []
    for held in (False, True):
        opened = begin(TWELVE, done=20)
        async with sitting(kept, opened) as hands:
            await hands.press(*before)
            await searched(hands)
            hands.now += 1
            if held:
                await held_down(hands, key, 0.25 if len(keys) % 2 else 0.66)
            else:
                await hands.press(key)
                await searched(hands)
            ends.append(state(hands, opened))
        opened.held.let_go()
    assert ends[0] == ends[1]


@pytest.mark.parametrize("key", ["1", "2", "3", "enter"])
async def test_a_way_is_not_taken_by_the_key_that_led_to_the_ways(kept: Kept, begin: Begin, key: str) -> None:
    opened = begin(TWELVE, done=110)
    async with sitting(kept, opened) as hands:
        # Held from the screen before: the digits that say how a knot was made, and enter.
        await hands.press("u", *(["c"] if key.isdigit() else ["s"]))
        if key == "enter":
            band = really_made(opened.held, {109: Knot.FORWARD_BACKWARD})
            await hands.press("escape")
            await tell_strings(hands, opened.held, band)
        else:
            await held_down(hands, key, 0.5)
            assert isinstance(hands.app.screen, WaysScreen)
            await hands.press(key)
        assert (opened.held.mistakes != {}) is (key in "123" and not isinstance(hands.app.screen, WaysScreen))


async def test_a_letter_held_down_answers_one_question(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    band = really_made(opened.held, {88: Knot.BACKWARD_FORWARD})
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        await tell_strings(hands, opened.held, band)
        screen = hands.app.screen
        assert isinstance(screen, FoundScreen)
        await held_down(hands, "question_mark", 0.4)
        assert len(screen._went._told) == 1
        await hands.press("question_mark", gap=QUICK)
        await searched(hands)
        assert len(screen._went._told) == 2


async def test_a_terminal_that_says_which_keys_are_held_is_believed(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=20)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "h")
        for _ in range(3):
            hands.now += 0.9
            event = HeldKey("enter", None)
            event.time = hands.now
            hands.app.post_message(event)
            await hands.catch_up()
        assert isinstance(hands.app.screen, HelpPageScreen)


async def test_quick_presses_of_one_key_count_on_one_screen_after_another(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=20)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s", "enter", gap=QUICK)
        await searched(hands)
        await hands.press("enter", gap=QUICK)
        assert isinstance(hands.app.screen, WrongKnotScreen)
        await hands.press("enter", gap=QUICK)
        assert opened.held.wrong == 19
        await hands.press("enter", "space", gap=QUICK)
        assert opened.held.must_come_out() == []
        assert opened.held.progress.done == 20
        await hands.press("enter", "enter", "enter", gap=QUICK)
        assert opened.held.progress.done == 23


async def test_arrows_go_on_while_they_are_held(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(TWELVE, done=20)) as hands:
        await hands.press("u")
        await hands.hold("left", 8)
        assert "row 3" in hands.words


async def test_the_arrow_that_closes_a_picture_undoes_nothing(kept: Kept, begin: Begin) -> None:
    opened = begin(CHEVRON, done=30)
    async with sitting(kept, opened) as hands:
        await hands.press("b")
        assert isinstance(hands.app.screen, PictureScreen)
        hands.now += 1
        await held_down(hands, "left", 0.4)
        assert opened.held.progress.done == 30


async def test_a_number_far_from_usual_is_not_taken_by_the_enter_that_asks(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(CHEVRON, done=8)) as hands:
        await hands.press("e")
        while "> for a length" not in hands.words:
            await hands.press("down")
        await hands.press("enter", *"9999")
        assert isinstance(hands.app.screen, NumberScreen)
        await held_down(hands, "enter", 0.5)
        assert isinstance(hands.app.screen, NumberScreen)
        assert TAKES_IT in hands.words
        await hands.press("enter", gap=QUICK)
        assert not isinstance(hands.app.screen, NumberScreen)


async def test_the_other_families_too(kept: Kept, begin: Begin) -> None:
    opened = begin(PICTURE, done=8)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "w")
        await held_down(hands, "d", 0.4)
        assert "Second-last knot?" in hands.legible or "Third-last" in hands.legible
