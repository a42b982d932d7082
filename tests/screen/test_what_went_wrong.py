"""What went wrong: from what the maker sees to the wrong knot and the way on, at the bench, in few keys."""

import time
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest

from benchmate.bench.screens.help import HelpPageScreen
from benchmate.bench.screens.trouble.found_screen import FoundScreen
from benchmate.bench.screens.trouble.hanging_screen import HangingScreen
from benchmate.bench.screens.trouble.running_short_screen import RunningShortScreen
from benchmate.bench.screens.trouble.ways_screen import WaysScreen
from benchmate.bench.screens.wrong_knot import WrongKnotScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.families.registry import trouble_of
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from tests.screen.benches import PICTURE
from tests.screen.erring import TWELVE, answer_all, hanging, really_made, searched, strings_told, tell_strings
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

MOST_KEYS = 20
"""From seeing that something is wrong to the first right move."""
Begin = Callable[..., OpenedPiece]


@pytest.mark.parametrize(("wrong", "made"), [(88, Knot.BACKWARD_FORWARD), (95, Knot.FORWARD_BACKWARD), (70, None)])
async def test_the_wrong_knot_is_found_and_taken_out_in_few_keys(
    kept: Kept, begin: Begin, wrong: int, made: Made
) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    band = really_made(held, {wrong: made})
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        keys = ["u", *await tell_strings(hands, held, band)]
        keys += await answer_all(hands, held, band)
        assert isinstance(hands.app.screen, WaysScreen)
        await hands.press("1")
        keys.append("1")
        assert len(keys) <= MOST_KEYS, keys
        assert isinstance(hands.app.screen, StepScreen)
        assert held.mistakes == {wrong: made}
        assert held.wrong == wrong
        out = len(held.must_come_out())
        await hands.press(*["space"] * out)
        assert held.made == {}
        assert held.must_come_out() == []
        assert held.progress.next == wrong
        assert "ALL UNDONE. The next press ties again." in hands.words


async def test_few_later_knots_are_changed_and_the_strings_come_back(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    charted = hanging(held, held.whole)
    band = really_made(held, {88: Knot.BACKWARD_FORWARD})
    assert hanging(held, band) != charted
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        await tell_strings(hands, held, band)
        await answer_all(hands, held, band)
        await searched(hands)
        assert "2 change: " in hands.legible
        await hands.press("2")
        assert held.mistakes == {88: Knot.BACKWARD_FORWARD}
        assert held.changes
        changes = dict(held.changes)
        assert "To change: row " in hands.words
        while not held.progress.finished:
            number = held.progress.next
            if number in changes:
                # The step is led through as it is to be made, in large type.
                made = changes[number]
                assert (made.words if made is not None else "leave") in hands.legible.replace("- ", "-")
            await hands.press("space")
        end = held.charted.at_start()
        for number in range(held.charted.size):
            held.charted.change_places(number, end)
        colour_of = held.whole.main.design.body.colour_of
        assert [*map(colour_of, held.progress.hanging)] == [*map(colour_of, end)]
        assert held.made == {88: Knot.BACKWARD_FORWARD, **changes}


async def test_the_wrong_knot_is_left_and_taken_out_later(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: Knot.BACKWARD_FORWARD}) as (hands, held, band):
        await answer_all(hands, held, band)
        await hands.press("3")
        assert held.made == {88: Knot.BACKWARD_FORWARD}
        assert held.changes == {}
        assert "Left wrong." in hands.words
        assert hanging(held, held.whole) == hanging(held, band)
        await hands.press("space", "u")
        assert "k: next knot left wrong (1)" in hands.words
        await hands.press("k")
        assert "Left wrong: backward-forward, should be " in hands.words
        await hands.press("enter")
        assert held.wrong == 88
        await hands.press(*["space"] * len(held.must_come_out()))
        assert held.made == {}


async def test_a_mark_and_a_change_are_taken_back(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    held.leave({88: Knot.BACKWARD_FORWARD}, {115: Knot.FORWARD_BACKWARD})
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        assert "d: drop the planned change (1 knot)" in hands.words
        await hands.press("d")
        assert held.changes == {}
        assert held.mistakes == {88: Knot.BACKWARD_FORWARD}
        assert "No longer planned: row " in hands.words
        held.leave({}, {115: Knot.FORWARD_BACKWARD})
        await hands.press("u", "a")
        assert isinstance(hands.app.screen, WrongKnotScreen), "the knot at the cursor was not left wrong"
        await hands.press("k", "a")
        assert (held.made, held.changes) == ({}, {})
        assert "As charted again" in hands.words


async def test_undoing_a_wrong_knot_says_what_is_no_longer_planned(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    held.leave({109: None}, {115: Knot.FORWARD})
    async with sitting(kept, opened) as hands:
        await hands.press("backspace")
        assert held.made == {}
        assert "No longer known as wrong: row 20, first from the right." in hands.words
        assert "No longer planned: row " in hands.words
        await hands.press("space")
        held.leave({109: None}, {115: Knot.FORWARD})
        await hands.press("u", "enter", "space")
        assert "ALL UNDONE. The next press ties again. No longer planned: row " in hands.words


async def test_a_knot_that_shows_another_colour_is_pointed_at(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    # Backward where the chart has forward: the strings change places all the same.
    wrong = next(number for number in range(100, 110) if held.whole.how_made(number) is Knot.FORWARD)
    band = really_made(held, {wrong: Knot.BACKWARD})
    assert hanging(held, band) == hanging(held, held.whole)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s", "enter")
        await searched(hands)
        assert "as charted" in hands.legible.casefold()
        assert "A wrong knot then shows only in its own colour: point at it." in hands.words
        assert "enter: point at a knot" in hands.words
        await hands.press("enter", *["left"] * (109 - wrong), "c")
        assert "which colour does it show?" in hands.legible
        shown = band.main.design.body.colour_of(band.knotting(wrong))
        await hands.press(shown[0])
        await searched(hands)
        assert isinstance(hands.app.screen, WaysScreen)
        await hands.press("1")
        assert held.mistakes == {wrong: Knot.BACKWARD}


async def test_a_maker_who_knows_how_it_was_made_says_so(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    charted = held.whole.how_made(109)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "c")
        ways = [knot for knot in Knot if knot is not charted]
        # The band stands beside these lines.
        words = " ".join(" ".join(line[:52] for line in hands.lines).split())
        assert all(f"{digit} {way.words}" in words for digit, way in enumerate(ways, 1)), hands.text
        await hands.press("3")
        await searched(hands)
        await hands.press("3")
        assert held.mistakes == {109: ways[2]}


async def test_answers_are_taken_back_and_what_cannot_be_told_is_not_asked_again(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: Knot.BACKWARD_FORWARD}) as (hands, held, band):
        first = hands.legible
        assert "? can't tell" in hands.words
        await hands.press("question_mark")
        await searched(hands)
        assert hands.legible != first
        await hands.press("backspace")
        await searched(hands)
        assert hands.legible == first
        await hands.press("down")
        assert "1 of " in hands.words
        assert "enter: this one" in hands.words
        await hands.press("up")
        assert hands.legible == first
        await hands.press("down", "enter")
        await searched(hands)
        # It can have been made in several ways, which its colour tells apart.
        assert "Taken as wrong: this knot." in hands.words
        await answer_all(hands, held, band)
        assert isinstance(hands.app.screen, WaysScreen)
        # While later knots are looked for, escape only stops that.
        await searched(hands)
        await hands.press("escape")
        await searched(hands)
        assert "Taken as wrong: this knot." in hands.words, "one wrong answer costs one answer"
        await hands.press("escape")
        assert isinstance(hands.app.screen, WrongKnotScreen)
        assert held.made == {}


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (200, 60)])
async def test_after_three_answers_in_a_row_that_nobody_could_tell_it_is_said_how_to_take_one(
    kept: Kept, begin: Begin, size: tuple[int, int]
) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    band = really_made(held, {88: Knot.BACKWARD_FORWARD})
    take_one = "Can't tell any more? up/down: see each, enter takes one."

    async def cannot_tell(hands: Hands, times: int) -> None:
        for _ in range(times):
            assert take_one not in on_the_left(hands)
            await hands.press("question_mark")
            await searched(hands)

    def on_the_left(hands: Hands) -> str:
        # The band is drawn on the right.
        return " ".join(" ".join(line[: size[0] * 2 // 3 - 1] for line in hands.lines).split())

    async with sitting(kept, opened, size=size) as hands:
        await hands.press("u")
        await tell_strings(hands, held, band)
        await cannot_tell(hands, 3)
        assert take_one in on_the_left(hands)
        await hands.press("down")
        assert take_one not in on_the_left(hands)
        assert "enter: this one" in hands.words
        await hands.press("up", "backspace")
        await searched(hands)
        await cannot_tell(hands, 1)
        assert take_one in on_the_left(hands)


async def test_how_it_was_made_is_asked_where_nobody_said_it(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: None}) as (hands, held, _):
        explanations = 0
        while "enter: this one" not in hands.words or "row 17, first from the left" not in hands.legible.casefold():
            await hands.press("down")
            explanations += 1
            assert explanations < 20, hands.text
        await hands.press("enter")
        await searched(hands)
        await hands.press("question_mark")
        await searched(hands)
        assert "1 forward-backward, shows ink" in hands.words
        assert "3 left out" in hands.words
        assert "? can't tell" in hands.words
        await hands.press("question_mark")
        await searched(hands)
        assert isinstance(hands.app.screen, WaysScreen)
        assert "made in a way not known" in hands.words
        await hands.press("3")
        assert isinstance(hands.app.screen, WaysScreen), "to leave it, how it was made has to be known"
        await hands.press("1")
        assert isinstance(hands.app.screen, StepScreen)
        assert "How it was made is not known" in hands.words
        assert (held.made, held.wrong) == ({}, 88)


async def test_strings_that_nothing_explains(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=20)
    async with sitting(kept, opened) as hands:
        await hands.press("u", "s", *"iiiiii", "enter")
        await searched(hands)
        assert "nothing fits" in hands.legible.casefold()
        assert "You typed 7 ink; the piece has 2. Look at the strings again." in hands.words
        await hands.press("escape", "s")
        assert isinstance(hands.app.screen, HangingScreen)
        assert hands.app.screen.hanging.colours[:6] == ["ink"] * 6, "what was typed is there to be corrected"


async def test_with_three_wrong_knots_a_row_is_undone_and_asked_about_again(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    made = {56: Knot.FORWARD_BACKWARD, 69: Knot.FORWARD_BACKWARD, 106: Knot.FORWARD_BACKWARD}
    band = really_made(held, made)
    last_row = len(range(*held.whole.span(held.whole.row_of(109))))
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        await tell_strings(hands, held, band)
        assert "With three wrong, undo the last row (left) and look again, row by row." in hands.words
        await hands.press("escape", "escape", *["left"] * last_row)
        assert held.progress.done == 110 - last_row
        await hands.press("u")
        await tell_strings(hands, held, band)
        assert "pairs of knots explain it" in hands.words
        await answer_all(hands, held, band)
        await searched(hands)
        await hands.press("1")
        del made[106]
        assert held.mistakes == made
        await hands.press(*["space"] * len(held.must_come_out()))
        assert held.made == {}
        assert "If the strings hang wrong now: u, s." in hands.words


@pytest.mark.parametrize("level", ["full", "short", "sparse"])
async def test_what_to_do_if_the_strings_hang_wrong_is_said_after_the_step(
    kept: Kept, begin: Begin, voice: Callable[[], Recorder], level: str
) -> None:
    opened = begin(TWELVE, done=110)
    opened.held.mark_wrong(109)
    async with sitting(kept, opened, settings=DEFAULTS._replace(voice="on", level=level)) as hands:
        await hands.press("space")
        assert "If the strings hang wrong now: u, s." in hands.words
        step, _, after = voice().last.rpartition(". If the ")
        assert after == "strings hang wrong now: u, s"
        assert "forward" in step or "backward" in step
        await hands.press("r")
        assert "hang wrong" not in voice().last
        await hands.press("space")
        assert "hang wrong" not in voice().last


async def test_a_search_is_stopped(kept: Kept, begin: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = begin(TWELVE, done=110)
    kind = type(trouble_of(opened.held.whole.main.design.family))

    def search(*given: Any, **_: object) -> None:
        report = given[-1]
        while True:
            time.sleep(0.01)
            report(30, 100)

    async with sitting(kept, opened) as hands:
        with monkeypatch.context() as patch:
            patch.setattr(kind, "why", search)
            await hands.press("u", "s", "enter")
            screen = hands.app.screen
            assert isinstance(screen, FoundScreen)
            await hands.wait_for(lambda: screen.share_words == " 30%")
            assert "Looking for the wrong knot" in hands.legible
            assert "escape: stop the search" in hands.words
            await hands.press("escape")
            assert "The search was stopped. Enter: search again." in hands.words
        await hands.press("enter")
        await searched(hands)
        assert "as charted" in hands.legible.casefold()
        await hands.press("escape", "c")
        with monkeypatch.context() as patch:
            patch.setattr(kind, "mend", search)
            await hands.press("1")
            assert isinstance(hands.app.screen, WaysScreen)
            await hands.press("2")
            assert isinstance(hands.app.screen, WaysScreen), "there is no such way yet"
            await hands.press("escape")
            assert "The search was stopped." in hands.words
            await hands.press("2")
            assert isinstance(hands.app.screen, WaysScreen)
        await hands.press("1")
        assert opened.held.wrong == 109


async def test_two_wrong_knots_come_out_in_one_go(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=60)
    held = opened.held
    made = {15: Knot.FORWARD_BACKWARD, 56: Knot.BACKWARD_FORWARD}
    band = really_made(held, made)
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        await tell_strings(hands, held, band)
        assert "pairs of knots explain it" in hands.words
        await answer_all(hands, held, band)
        await searched(hands)
        assert "; and row" in hands.words
        await hands.press("1")
        assert (held.marked, held.mistakes) == ((15, 56), made)
        count = len(held.must_come_out())
        assert f"{count} to undo" in hands.words
        await hands.press(*["space"] * (count - 1))
        assert "ALL UNDONE" not in hands.words
        await hands.press("space")
        assert held.made == {}
        assert "ALL UNDONE. The next press ties again." in hands.words


async def test_other_trouble_begins_at_the_same_place(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(TWELVE, done=20)) as hands:
        for key, screen in (("w", HangingScreen), ("l", RunningShortScreen), ("h", HelpPageScreen)):
            await hands.press("u", key)
            assert isinstance(hands.app.screen, screen)
            while not isinstance(hands.app.screen, StepScreen):
                await hands.press("escape")


async def test_whatever_is_asked_is_said(kept: Kept, begin: Begin, voice: Callable[[], Recorder]) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    band = really_made(held, {88: Knot.BACKWARD_FORWARD})
    async with sitting(kept, opened, settings=DEFAULTS._replace(voice="on")) as hands:
        recorder = voice()

        def said() -> str:
            return recorder.said[-1].words

        await hands.press("u")
        assert "s: type how the strings hang" in said()
        await hands.press("s")
        assert said().startswith("How do the strings hang? As charted, from the left: ")
        await hands.press("p", "i")
        assert said().startswith("third from the left, ")
        await hands.press("home", "left")
        assert said().startswith("first from the right, ")
        await hands.press("end", "home", "down", "escape")
        await tell_strings(hands, held, band)
        assert any("row" in each.words and "question mark: can't tell" in each.words for each in recorder.said)
        await answer_all(hands, held, band)
        await searched(hands)
        assert any(each.words.startswith("Three ways on.") for each in recorder.said)
        await hands.press("down")
        assert said().startswith("2: Leave it, make")
        await hands.press("2")
        assert said().startswith("Left wrong. To change: row ")


async def test_every_screen_fits_small_and_large_windows(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    band = really_made(held, {88: Knot.BACKWARD_FORWARD})
    sizes = ((40, 12), (200, 60), (120, 36), (1, 1), (20, 5), (40, 12))

    async with sitting(kept, opened, size=(40, 12)) as hands:

        async def fits(*words: str) -> None:
            for size in sizes:
                await hands.pilot.resize_terminal(*size)
                await hands.catch_up()
                assert len(hands.lines) == size[1]
                if size[0] >= 40:
                    shown = hands.legible.casefold()
                    assert all(word in shown for word in words), (size, hands.text)

        await hands.press("u")
        await fits("which is wrong?", "enter: this one", "s: ", "c: ", "w: ", "l: ", "h: ")
        await hands.press("c")
        await fits("which colour", "p plum")
        await hands.press("escape", "s")
        await fits("how do the strings hang?", "p plum", "enter: so they hang")
        await hands.press("escape")
        await tell_strings(hands, held, band)
        await fits("row", "can't tell")
        await hands.pilot.resize_terminal(80, 24)
        await answer_all(hands, held, band)
        await searched(hands)
        await fits("1 take out", "2 change", "3 leave it", "1 2 3: choose")
        await hands.press("tab")
        await fits("now", "as charted", "x wrong")


async def test_only_a_diagonal_band_is_asked_what_went_wrong(kept: Kept, begin: Begin) -> None:
    opened = begin(PICTURE, done=8)
    async with sitting(kept, opened) as hands:
        await hands.press("u")
        assert "strings hang" not in hands.words
        await hands.press("s")
        assert isinstance(hands.app.screen, WrongKnotScreen)
        await hands.press("enter")
        assert opened.held.wrong is not None


async def test_the_ways_on_are_reached_again_for_a_knot_that_was_left(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: Knot.BACKWARD_FORWARD}) as (hands, held, band):
        await answer_all(hands, held, band)
        await searched(hands)
        costs = [line[:40] for line in hands.lines[:18]]
        await hands.press("3", "u")
        assert "three ways" not in hands.words, "the knot tied last is not known to be wrong"
        await hands.press("k")
        assert "t: three ways on" in hands.words
        await hands.press("t")
        await searched(hands)
        assert isinstance(hands.app.screen, WaysScreen)
        assert [line[:40] for line in hands.lines[:18]] == costs, "as if it had been found just now"
        await hands.press("backspace")
        assert isinstance(hands.app.screen, WrongKnotScreen)
        await hands.press("t")
        await searched(hands)
        await hands.press("2")
        assert held.mistakes == {88: Knot.BACKWARD_FORWARD}
        changes = dict(held.changes)
        assert changes
        # And again, now that a change is planned: left without it, the change is dropped.
        await hands.press("u", "k", "t")
        await searched(hands)
        assert [line[:40] for line in hands.lines[:18]] == costs
        await hands.press("3")
        assert held.changes == {}
        await hands.press("u", "k", "t")
        await searched(hands)
        await hands.press("2")
        assert held.changes == changes
        await hands.press("u", "k", "t", "1")
        assert held.wrong == 88


async def test_a_known_knot_is_no_longer_offered_as_it_should_be(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    charted = held.whole.how_made(88)
    assert charted is not None
    held.leave({88: Knot.BACKWARD_FORWARD}, {})
    async with sitting(kept, opened) as hands:
        await hands.press("u", "k", "c")
        ways = [knot for knot in Knot if knot is not charted]
        words = " ".join(" ".join(line[:52] for line in hands.lines).split())
        assert all(f"{digit} {way.words}" in words for digit, way in enumerate(ways, 1)), hands.text
        await hands.press(str(1 + ways.index(Knot.BACKWARD_FORWARD)))
        await searched(hands)
        assert "backward-forward instead of" in hands.words
        await hands.press("backspace")
        assert "which colour does it show?" in hands.legible


async def test_backspace_goes_back_as_far_as_the_strings(kept: Kept, begin: Begin) -> None:
    async with strings_told(kept, begin(TWELVE, done=110), {88: Knot.BACKWARD_FORWARD}) as (hands, held, band):
        assert "backspace: the strings" in hands.words
        await answer_all(hands, held, band)
        await searched(hands)
        assert "1 2 3: choose" in hands.words
        await hands.press("backspace")
        await searched(hands)
        screen = hands.app.screen
        assert isinstance(screen, FoundScreen)
        assert "backspace: answer again" in hands.words or "backspace: the strings" in hands.words
        for _ in range(5):
            await hands.press("backspace")
            await searched(hands)
            if isinstance(hands.app.screen, HangingScreen):
                break
        assert isinstance(hands.app.screen, HangingScreen)
        assert hands.app.screen.hanging.colours == hanging(held, band)
        assert held.made == {}


async def test_enter_takes_no_way_that_was_not_looked_at(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    async with sitting(kept, opened) as hands:
        await hands.press("u", "c", "2")
        await searched(hands)
        assert "enter" not in hands.words
        await hands.press("enter")
        assert isinstance(hands.app.screen, WaysScreen)
        await hands.press("up")
        assert "enter: 3" in hands.words
        await hands.press("enter")
        assert held.wrong is None
        assert held.mistakes


async def test_other_families_do_not_offer_what_they_cannot_say(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(PICTURE, done=8)) as hands:
        await hands.press("u")
        assert "runs short" not in hands.words
        await hands.press("l")
        assert isinstance(hands.app.screen, WrongKnotScreen)


async def test_every_prompt_is_said_once(kept: Kept, begin: Begin, voice: Callable[[], Recorder]) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    band = really_made(held, {88: Knot.BACKWARD_FORWARD})
    async with sitting(kept, opened, settings=DEFAULTS._replace(voice="on")) as hands:
        recorder = voice()
        first = len(recorder.said)

        def said() -> list[str]:
            return [each.words for each in recorder.said[first:]]

        await hands.press("u")
        await tell_strings(hands, held, band)
        asked = said()[-1]
        assert "knots could be wrong. row " in asked, "what was found, then what is asked"
        assert "minus: no knot" in asked
        assert asked.endswith("up or down: see each. escape: back. backspace: the strings")
        assert not any(words.startswith("Looking for") for words in said()), "a short search is not said"
        await answer_all(hands, held, band)
        await searched(hands)
        assert sum(words.startswith("Three ways on.") for words in said()) == 1
        count = len(recorder.said)
        await hands.press("3")
        assert len(recorder.said) == count + 1, "what was done and the step, once"
        assert said()[-1].startswith("Left wrong. ")
        assert ".," not in said()[-1]
        await hands.press("u", "l", "escape")
        held.leave({95: Knot.FORWARD_BACKWARD}, {})
        await hands.press("escape", "u", "k", "enter")
        while held.must_come_out():
            await hands.press("space")
        assert said()[-1].endswith("If the strings hang wrong now: u, s")
        words = said()
        assert [one for one, other in pairwise(words) if one == other] == []


async def test_a_long_search_is_said_and_how_to_stop_it(
    kept: Kept, begin: Begin, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = begin(TWELVE, done=110)
    kind = type(trouble_of(opened.held.whole.main.design.family))

    def search(*given: Any, **_: object) -> None:
        report = given[-1]
        while True:
            time.sleep(0.01)
            report(30, 100)

    monkeypatch.setattr(kind, "why", search)
    async with sitting(kept, opened, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("u", "s", "enter")
        await hands.wait_for(lambda: voice().last == "Looking for the wrong knot, escape: stop")
        count = len(voice().said)
        await hands.pilot.pause(0.6)
        assert len(voice().said) == count


async def test_in_a_low_window_each_way_can_be_read_to_its_end(kept: Kept, begin: Begin) -> None:
    opened = begin(TWELVE, done=110)
    async with sitting(kept, opened, size=(40, 12)) as hands:
        await hands.press("u", "c", "2")
        await searched(hands)
        for key, last in (("1", "as charted."), ("2", "in another colour."), ("3", "end in another order.")):
            assert f"{last} " in f"{hands.words} ", hands.text
            assert ".." not in hands.words
            assert all(f"{other} " in hands.legible for other in "123"), key
            await hands.press("down")


@pytest.mark.parametrize(("size", "says"), [((40, 12), "* changed"), ((80, 24), ""), ((120, 36), "")])
async def test_a_knot_that_is_changed_on_purpose_says_so(
    kept: Kept, begin: Begin, size: tuple[int, int], says: str
) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    step = held.progress.next
    assert step is not None
    charted = held.charted.how_made(step)
    assert charted is not None
    changed = next(knot for knot in Knot if knot is not charted)
    async with sitting(kept, opened, size=size) as hands:
        assert "hanged" not in hands.words
        held.leave({88: Knot.BACKWARD_FORWARD}, {step: changed})
        await hands.press("d")
        assert (says or f"Changed on purpose: {changed.words} instead of {charted.words}.") in hands.words
        await hands.press("space")
        assert "hanged" not in hands.words


@pytest.mark.parametrize("size", [(40, 12), (40, 16), (80, 24)])
async def test_the_strings_to_compare_are_there_once_a_wrong_knot_is_out(
    kept: Kept, begin: Begin, size: tuple[int, int]
) -> None:
    opened = begin(TWELVE, done=110)
    held = opened.held
    held.mark_wrong(held.progress.history[-1])
    async with sitting(kept, opened, size=size) as hands:
        await hands.press("space")
        assert "If the strings hang wrong now: u, s." in hands.words
        tags = [line.split() for line in hands.lines]
        colours = [held.whole.main.design.strings[string - 1][:2] for string in held.progress.hanging]
        assert any([tag[:2] for tag in line][: len(colours)] == colours for line in tags), hands.text
