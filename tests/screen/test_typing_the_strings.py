"""The strings are typed as fast as hands type, and each key finds the screen that the one before opened."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.bench.screens.trouble.found_screen import FoundScreen
from benchmate.bench.screens.trouble.hanging_screen import HangingScreen
from benchmate.bench.screens.trouble.ways_screen import WaysScreen
from benchmate.bench.screens.wrong_knot import WrongKnotScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.knots import Knot
from benchmate.piece_opening import Kept, OpenedPiece
from tests.running import bench, press_one_by_one, wait_for_count
from tests.screen.benches import written_to
from tests.screen.erring import TWELVE, answer_all, really_made, tell_strings
from tests.screen.hands import Hands, sitting

Begin = Callable[..., OpenedPiece]

KELP = """\
benchmate: 1
title: Kelp and wrack
family: diagonal
colours: {kelp: "#5d7a3a", deep: "#0b3c5d", wrack: "#6b3f2a", algae: "#9bb07c"}
strings: [deep, kelp, wrack, algae, deep, kelp]
rows:
  - f f b
  - f b
repeats: 9
"""
"""The letters of its colours do something on the screen before too."""
TWENTY = f"""\
benchmate: 1
title: Twenty reeds
family: diagonal
colours: {{plum: "#5d1a4a", straw: "#e8d48b", moss: "#43602f", ink: "#14213d"}}
strings: [{", ".join(["plum", "straw", "moss", "ink"] * 5)}]
rows:
  - {"f " * 10}
  - {"b " * 9}
repeats: 9
"""


def strings(hands: Hands) -> HangingScreen:
    """The screen that asks for them."""
    screen = hands.app.screen
    assert isinstance(screen, HangingScreen), screen
    return screen


async def burst(hands: Hands, keys: str, gap: float) -> None:
    """Sends keys without waiting for what they do."""
    for key in keys.split():
        hands.send(key, gap)
    await hands.catch_up()


def test_keys_in_one_burst_reach_the_screens_in_order(tmp_path: Path, home: Path) -> None:
    with bench(written_to(tmp_path, KELP), home) as terminal:
        wait_for_count(terminal, 0)
        press_one_by_one(terminal, "space", 0, 9)
        terminal.send(b"uskwadk")
        typed = "1: kelp, chart algae; 2: wrack, chart kelp; 3: algae, chart kelp; 5: kelp, chart deep"

        def shows(words: str) -> None:
            terminal.wait_until(lambda shown: words in " ".join(shown.text.split()), what=words)

        shows(typed)
        terminal.send(b"\x1b[D\x1b[D\r")
        shows("backspace: the strings")
        terminal.send(b"\x7f")
        shows(typed)


@pytest.mark.parametrize("gap", [0.001, 0.03, 0.2])
async def test_a_burst_types_what_slow_hands_type(kept: Kept, begin: Begin, gap: float) -> None:
    opened = begin(KELP, done=20)
    async with sitting(kept, opened) as hands:
        await burst(hands, "u s k d w a k w", gap)
        assert strings(hands).hanging.colours == ["kelp", "deep", "wrack", "algae", "kelp", "wrack"]
        await burst(hands, "escape k d", gap)
        assert isinstance(hands.app.screen, WrongKnotScreen)
        await burst(hands, "s a escape escape", 0.2)
        assert isinstance(hands.app.screen, StepScreen)
        assert opened.held.progress.done == 20
        assert not opened.held.made


async def test_enter_in_a_burst_leaves_the_strings_as_they_were_typed(kept: Kept, begin: Begin) -> None:
    opened = begin(KELP, done=20)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s")
        due = strings(hands).hanging.believed
        await burst(hands, "k w enter a d k w", 0.05)
        screen = hands.app.screen
        assert isinstance(screen, FoundScreen)
        assert screen._went.seen == ["kelp", "wrack", *due[2:]]


@pytest.mark.parametrize("gap", [0.02, 0.09, 0.11, 0.13])
async def test_twenty_letters_are_typed_as_fast_as_hands_can(kept: Kept, begin: Begin, gap: float) -> None:
    opened = begin(TWENTY, done=40)
    letters = "p s m i" * 5 if gap < 0.1 else "p p s s m m i i p p s s m m i i p p s s"
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s")
        await burst(hands, " ".join(letters.replace(" ", "")), gap)
        screen = strings(hands)
        assert screen.hanging.at == 20
        assert [name[0] for name in screen.hanging.colours] == [*letters.replace(" ", "")]
        await hands.press("enter")
        assert not isinstance(hands.app.screen, HangingScreen)


@pytest.mark.parametrize("gap", [0.02, 0.05, 0.09])
async def test_a_letter_that_is_held_down_types_one_string(kept: Kept, begin: Begin, gap: float) -> None:
    opened = begin(TWENTY, done=40)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s", "m")
        hands.send("i", 0.5)
        # Keyboards wait before a held key repeats.
        hands.send("i", 0.4)
        for _ in range(60):
            hands.send("i", gap)
        await hands.catch_up()
        assert strings(hands).hanging.at == 2
        await hands.press("i")
        assert strings(hands).hanging.at == 3


async def test_something_lying_on_the_keys_answers_nothing(kept: Kept, begin: Begin) -> None:
    opened = begin(TWENTY, done=40)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s")
        await burst(hands, "p o i k " * 4 + "enter p space enter l k escape i enter " * 10, 0.04)
        assert strings(hands).hanging.at <= 20
        await hands.press("enter", gap=0.1)
        strings(hands)
        await hands.press("enter", gap=1)
        assert not isinstance(hands.app.screen, HangingScreen)


async def test_a_number_goes_to_its_string(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s", "1", "1")
        assert strings(hands).hanging.at == 10
        assert ">11<" in hands.words
        was = list(strings(hands).hanging.colours)
        await hands.press("p", "3", "s", "0", "4", "5", "home", "2")
        screen = strings(hands)
        assert screen.hanging.at == 1
        assert screen.hanging.colours == [*was[:2], "straw", *was[3:10], "plum", was[11]]


@pytest.mark.parametrize("wrong", [64, 70, 79])
async def test_twenty_strings_take_few_keys(kept: Kept, begin: Begin, wrong: int) -> None:
    opened = begin(TWENTY, done=90)
    held = opened.held
    band = really_made(held, {wrong: Knot.FORWARD_BACKWARD})
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        keys = ["u", *await tell_strings(hands, held, band), *await answer_all(hands, held, band)]
        if not isinstance(hands.app.screen, WaysScreen):
            # It can have been made in two ways that look alike.
            keys.append("1")
            await hands.press("1")
        assert isinstance(hands.app.screen, WaysScreen), hands.text
        await hands.press("1")
        assert len([*keys, "1"]) < 20, keys
        assert held.wrong == wrong
