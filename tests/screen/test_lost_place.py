"""The lost place at the bench: how the strings hang, a question at a time, and the place in one press."""

import re
import time
from collections.abc import Callable

import pytest

from benchmate.bench.screens.jump import JumpScreen
from benchmate.bench.screens.trouble import lost_place_screen
from benchmate.bench.screens.trouble.hanging_screen import HangingScreen
from benchmate.bench.screens.trouble.lost_place_screen import LostPlaceScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.knots import Knot
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.craft.work import ReportProgress
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions.trouble.lost_place import LostPlace
from benchmate.settings import DEFAULTS
from tests.charts import tie_by_hand
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

LETTERS = "pmssmp"
"""The strings of the chevron at its start, by the letters of their colours: plum, m (mossy green), straw."""
KNOTS = [
    *((1, "f"), (3, "f"), (5, "b"), (2, "f"), (4, "b")),
    *((1, "f"), (3, "f"), (5, "b"), (2, "f"), (4, "b")),
] * 3
"""Its knots in the order of the chart: the left position of the pair, and the kind."""
BACK = {"last": 1, "second-last": 2, "third-last": 3, "fourth-last": 4, "fifth-last": 5}
ASKED = re.compile(r"(Last|Second-last|Third-last|Fourth-last|Fifth-last) knot\?")
Begin = Callable[..., OpenedPiece]


def by_hand(done: int, wrong: int = 0, made: str = "") -> tuple[str, str]:
    """The letters of the strings as they hang after so many knots, and of the knots; knot `wrong` is `made` so."""
    hanging, shown = list(range(1, 7)), ""
    for number, (left, token) in enumerate(KNOTS[:done], 1):
        kind = made if number == wrong else token
        if kind == "-":
            continue
        knotting, _ = tie_by_hand(hanging, left, kind)
        shown += LETTERS[knotting - 1]
    return "".join(LETTERS[string - 1] for string in hanging), shown


def shows(hands: Hands, screen: type) -> bool:
    """True when such a screen is in front."""
    return type(hands.app.screen) is screen


async def answered(hands: Hands, shown: str) -> int:
    """Answers every question about the last knots as they look; returns how many there were."""
    for count in range(12):
        asked = ASKED.search(hands.legible)
        if asked is None:
            return count
        back = BACK[asked[1].casefold()]
        await hands.press(shown[-back] if back <= len(shown) else "-")
    raise AssertionError(hands.legible)


@pytest.mark.parametrize(("counted", "really"), [(8, 19), (25, 3), (0, 22), (12, 12), (30, 1)])
async def test_the_place_after_an_interruption(kept: Kept, begin: Begin, counted: int, really: int) -> None:
    opening = begin(CHEVRON, done=counted)
    hanging, shown = by_hand(really)
    async with sitting(kept, opening) as hands:
        await hands.press("j", "w", *hanging, "enter")
        assert await answered(hands, shown) <= 3
        row = next(row for row in range(1, 13) if sum((3, 2)[at % 2] for at in range(row)) > really)
        for _ in range(3):
            if f"> row {row}, knot {really + 1} next" in hands.words:
                break
            await hands.press("down")
        assert f"> row {row}, knot {really + 1} next" in hands.words
        await hands.press("enter")
        assert shows(hands, StepScreen)
        assert opening.held.progress.done == really
        if really != counted:
            where = "the end" if counted == 30 else f"knot {counted + 1}"
            assert f"Before the jump you were at {where}." in hands.words
    if counted or really != counted:
        assert kept.pieces.all()[0].done == really


async def test_a_lost_place_with_a_wrong_knot(kept: Kept, begin: Begin) -> None:
    opening = begin(CHEVRON, done=5)
    hanging, shown = by_hand(17, 9, "bf")
    assert all(hanging != by_hand(done)[0] for done in range(31)), "no place fits without a wrong knot"
    # So narrow that no band stands between the words.
    async with sitting(kept, opening, size=(58, 24)) as hands:
        await hands.press("j", "w", *hanging, "enter")
        assert "None fits as charted. With one wrong knot, " in hands.words
        await answered(hands, shown)
        wanted = "> row 7, knot 18 next, 12 knots further; wrong: row 4, first from the left"
        for _ in range(40):
            if wanted in hands.words:
                break
            await hands.press("down")
        assert wanted in hands.words
        await hands.press("enter")
        assert "Row 4, first from the left?" in hands.legible, "how it was made shows in its colour"
        await hands.press(shown[8])
        assert f"{wanted}, made backward-forward" in hands.words
        await hands.press("enter")
        held = opening.held
        assert "Before the jump you were at knot 6." in hands.words
        assert "Remembered: row 4, first from the left, made backward-forward." in hands.words
        assert held.progress.done == 17
        assert held.made == {8: Knot.BACKWARD_FORWARD}
        design = held.whole.main.design
        assert "".join(design.say_of(string)[0] for string in held.progress.hanging) == hanging
    assert kept.pieces.all()[0].done == 17


async def test_the_same_search_begins_from_the_wrong_knot_too(kept: Kept, begin: Begin) -> None:
    opening = begin(CHEVRON, done=8)
    async with sitting(kept, opening) as hands:
        await hands.press("u", "w", *LETTERS, "enter", "s", "enter")
        assert shows(hands, StepScreen)
        assert opening.held.progress.done == 15
        assert "Before the jump you were at knot 9." in hands.words


async def test_leaving_changes_nothing(kept: Kept, begin: Begin) -> None:
    opening = begin(CHEVRON, done=8)
    async with sitting(kept, opening) as hands:
        await hands.press("j", "w", "escape")
        assert shows(hands, JumpScreen)
        await hands.press("w", *by_hand(19)[0], "enter")
        assert shows(hands, LostPlaceScreen)
        await hands.press("escape", "escape")
        assert shows(hands, StepScreen)
        assert opening.held.progress.done == 8


async def test_answers_are_taken_back_one_by_one_and_then_the_strings(kept: Kept, begin: Begin) -> None:
    opening = begin(CHEVRON, done=8)
    async with sitting(kept, opening) as hands:
        await hands.press("j", "w", *LETTERS, "enter")
        assert "3 places fit." in hands.words
        await hands.press("s")
        assert "2 places fit." in hands.words
        await hands.press("backspace")
        assert "3 places fit." in hands.words
        await hands.press("p")
        assert "None fits as charted." in hands.words, "no last knot is plum there, so one is wrong"
        await hands.press("backspace")
        assert "3 places fit." in hands.words
        await hands.press("backspace")
        screen = hands.app.screen
        assert isinstance(screen, HangingScreen)
        assert screen.hanging.colours == ["plum", "moss", "straw", "straw", "moss", "plum"]


async def test_a_knot_that_nobody_can_tell_is_not_asked_about_again(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(PICTURE, done=8)) as hands:
        await hands.press("j", "w")
        assert "Last knot?" in hands.legible
        await hands.press("question_mark")
        assert "Last knot?" not in hands.legible
        assert "Second-last knot?" in hands.legible
        assert "31 places fit." in hands.words


async def test_the_row_counted_on_the_band(kept: Kept, begin: Begin) -> None:
    opening = begin(CHEVRON, done=20)
    async with sitting(kept, opening) as hands:
        await hands.press("j", "w", *LETTERS, "enter", "5", "enter")
        assert "None of these places is in row 5." in hands.words
        await hands.press("7")
        assert "the row: 7" in hands.legible
        await hands.press("enter")
        assert "1 place fits. > row 7, knot 16 next, 5 knots back" in hands.words
        await hands.press("enter")
        assert opening.held.progress.done == 15


async def test_a_picture_by_its_last_knots_and_its_rows(kept: Kept, begin: Begin) -> None:
    opening = begin(PICTURE, done=8)
    async with sitting(kept, opening) as hands:
        await hands.press("j", "w")
        assert "31 places fit." in hands.words
        # The rows in working order: .##.r, .#..#, ##rr. and the same again from the other side: r.##., #..#., .rr##.
        shown = "dffdrdfddfffrrdrdffdfddfddrrff"
        assert await answered(hands, shown[:18]) <= 6
        assert "1 place fits." in hands.words
        await hands.press("enter")
        assert opening.held.progress.done == 18
        await hands.press("j", "w", "5", "enter")
        assert "6 places fit." in hands.words
        await hands.press("3", "enter")
        assert "> row 5, knot 24 next" in hands.words
        await hands.press("enter")
        assert opening.held.progress.done == 23


async def test_a_braid_by_its_slots(kept: Kept, begin: Begin) -> None:
    opening = begin(ROPE, done=8)
    lies = {32: "d", 1: "d", 8: "f", 9: "f", 16: "d", 17: "d", 24: "f", 25: "f"}
    moves = [(1, 15), (17, 31), (9, 23), (25, 7)]
    for move in range(10):
        source, target = ((slot - 1 - move // 4) % 32 + 1 for slot in moves[move % 4])
        lies[target] = lies.pop(source)
    async with sitting(kept, opening) as hands:
        await hands.press("j", "w")
        assert "As charted so far. Correct what lies differently." in hands.words
        await hands.press(*(lies.get(slot, "-") for slot in range(1, 33)), "enter")
        assert "> repeat 3, move 11 next, 2 moves further" in hands.words or await _walked_to(
            hands, "> repeat 3, move 11 next"
        )
        await hands.press("enter")
        assert opening.held.progress.done == 10


async def _walked_to(hands: Hands, words: str) -> bool:
    for _ in range(4):
        await hands.press("down")
        if words in hands.words:
            return True
    return False


async def test_a_strand_too_few_is_said(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(ROPE)) as hands:
        await hands.press("j", "w", "minus", "enter")
        assert "You typed 3 deep; the piece has 4. Look again: backspace." in hands.words


async def test_written_steps_offer_no_search(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(WRITTEN, done=2)) as hands:
        await hands.press("j")
        assert "where am I" not in hands.words
        await hands.press("w")
        assert shows(hands, JumpScreen)


async def test_by_ear(kept: Kept, begin: Begin, voice: Callable[[], Recorder]) -> None:
    opening = begin(CHEVRON, done=8)
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level="short")) as hands:
        await hands.press("j", "w")
        assert voice().last.startswith("How do the strings hang? ")
        await hands.press(*LETTERS, "enter")
        assert voice().last == (
            "3 places fit. Look at the last knot: straw or no such knot? s: straw. minus: no knot. "
            "question mark: can't tell. up or down: see each. digits: the row. backspace: answer again. escape: leave"
        )
        await hands.press("s")
        assert "2 places fit. Look at the " in voice().last or "2 places fit. row 7, knot 16 next" in voice().last
        await hands.press("7")
        assert voice().last == "the row: 7. enter: take the number. backspace: correct it"
        await hands.press("enter")
        assert voice().last.startswith("1 place fits. row 7, knot 16 next, 7 knots further. enter: set the piece here")
        await hands.press("enter")
        assert voice().last.startswith("jumped to row 7")


async def test_the_slots_of_a_braid_by_ear(kept: Kept, begin: Begin, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, begin(ROPE), settings=DEFAULTS._replace(voice="on", level="short")) as hands:
        await hands.press("j", "w")
        assert "What lies in each slot?" in hands.legible
        assert voice().last.startswith(
            "What lies in each slot? As charted: 1 deep, 8 foam, 9 foam, 16 deep, 17 deep, 24 foam, 25 foam, 32 deep. "
        )
        await hands.press("d")
        assert voice().last == "slot 2, empty"
        await hands.press("left")
        assert voice().last == "slot 1, deep"
        await hands.press("enter")
        # After 32 rounds all lie as at the start, and half of that way they lie as each other.
        assert voice().last.startswith("3 places fit. ")


async def test_a_long_search_runs_beside_and_can_be_stopped(
    kept: Kept, begin: Begin, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lost_place_screen, "AT_ONCE", 0)
    real, blocked = LostPlace.search, True

    def search(lost: LostPlace, seen: list[str], report: ReportProgress) -> object:
        while blocked:
            report(1, 4)
            time.sleep(0.001)
        return real(lost, seen, report)

    monkeypatch.setattr(LostPlace, "search", search)
    async with sitting(kept, begin(CHEVRON, done=8)) as hands:
        await hands.press("j", "w", *LETTERS, "enter")
        await hands.wait_for(lambda: "25%" in hands.legible)
        await hands.press("s", "enter", "escape")
        assert shows(hands, HangingScreen), "stopped, the strings are there to look at again"
        blocked = False
        await hands.press("enter")
        await hands.wait_for(lambda: "3 places fit." in hands.words)


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 36), (200, 60)])
async def test_what_matters_stands_on_every_size(kept: Kept, begin: Begin, size: tuple[int, int]) -> None:
    async with sitting(kept, begin(CHEVRON, done=8), size=size) as hands:
        await hands.press("j", "w", *LETTERS, "enter")
        assert "Last knot?" in hands.legible
        assert "s straw, - no knot, ? can't tell" in hands.words
        assert "3 places fit." in hands.words
        await hands.press("down")
        assert "> row 7, knot 16 next, 7 knots further" in hands.words
        assert "enter: set the piece here" in hands.words


async def test_the_wrong_knot_of_a_place_is_said_with_the_step(
    kept: Kept, begin: Begin, voice: Callable[[], Recorder]
) -> None:
    opening = begin(CHEVRON, done=5)
    held = opening.held
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level="short")) as hands:
        for key in ("j", "u"):
            held.jump(5)
            hanging, shown = by_hand(17, 9, "bf")
            await hands.press(key, "w", *hanging, "enter")
            await answered(hands, shown)
            for _ in range(40):
                if "> row 7, knot 18 next, 12 knots further; wrong: row 4" in hands.words:
                    break
                await hands.press("down")
            await hands.press("enter", shown[8])
            said = len(voice().said)
            await hands.press("enter")
            assert held.made == {8: Knot.BACKWARD_FORWARD}
            assert len(voice().said) == said + 1, "once, and not cut off by another prompt"
            assert voice().last.startswith("Remembered: row 4, first from the left, made backward-forward. jumped to ")


async def test_a_place_found_by_its_knots_alone_is_said_once(
    kept: Kept, begin: Begin, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, begin(PICTURE, done=8), settings=DEFAULTS._replace(voice="on")) as hands:
        said = len(voice().said)
        await hands.press("u", "w")
        assert len(voice().said) == said + 2
        assert voice().last.startswith("31 places fit. Look at the last knot: ")


async def test_the_band_of_a_place_is_made_once(kept: Kept, begin: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    count, real = 0, WholePiece.made_otherwise

    def counted(whole: WholePiece, made: MadeOtherwise) -> WholePiece:
        nonlocal count
        count += 1
        return real(whole, made)

    hanging, _ = by_hand(17, 9, "bf")
    async with sitting(kept, begin(CHEVRON, done=5), size=(120, 36)) as hands:
        await hands.press("j", "w", *hanging, "enter")
        screen = hands.app.screen
        assert isinstance(screen, LostPlaceScreen)
        monkeypatch.setattr(WholePiece, "made_otherwise", counted)
        for _ in range(3):
            screen.lines(120, 36)
        assert count <= 1


async def test_a_picture_with_a_wrong_knot(kept: Kept, begin: Begin, voice: Callable[[], Recorder]) -> None:
    """Knot 17 is red, which as charted only the end of the picture explains; the row is another one."""
    opening = begin(PICTURE, done=8)
    held, wrong = opening.held, "row 4, second from the right, rust instead of deep"
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level="short"), size=(120, 36)) as hands:
        await hands.press("j", "w", "f", "f", "r")
        assert "> the band is done, 22 knots further" in hands.words
        assert "digits: another row" in hands.words
        await hands.press("7", "enter")
        assert "None of these places is in row 7." in hands.words
        await hands.press("4", "enter")
        assert "None fits as charted. With one wrong knot, 2 places fit." in hands.words
        await hands.press("d")
        await hands.press("backspace", "r")
        assert f"> row 4, knot 20 next, 11 knots further; wrong: {wrong}" in hands.words
        await hands.press("enter")
        await hands.wait_for(lambda: held.wrong == 16)
        assert shows(hands, StepScreen)
        assert held.progress.done == 19
        assert f"Before the jump you were at knot 9. Marked as wrong: {wrong}." in hands.words
        assert voice().last.startswith(f"Marked as wrong: {wrong}. ")
        await hands.press("escape")
        assert held.wrong is None, "the maker may keep it"
    assert kept.pieces.all()[0].done == 19


def slots_of(lies: dict[int, str]) -> list[str]:
    """The keys for all slots of the rope."""
    return [lies.get(slot, "minus") for slot in range(1, 33)]


async def test_a_braid_with_a_wrong_move(kept: Kept, begin: Begin, voice: Callable[[], Recorder]) -> None:
    """After 12 moves: move 7 left its strand in slot 1; the other time, another strand was moved."""
    opening = begin(ROPE, done=8)
    held = opening.held
    laid = dict.fromkeys((1, 5, 6, 21), "f") | dict.fromkeys((13, 14, 29, 30), "d")
    taken = dict.fromkeys((5, 6, 8, 21), "f") | dict.fromkeys((13, 22, 29, 30), "d")
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level="short"), size=(58, 24)) as hands:
        await hands.press("j", "w", *slots_of(laid), "enter")
        assert "None fits as charted. With one wrong move, 2 places fit." in hands.words
        wrong = "repeat 2, move 7, 8 to 1 instead of 8 to 22"
        assert f"> repeat 4, move 13 next, 4 moves further; wrong: {wrong}" in hands.words
        await hands.press("enter")
        await hands.wait_for(lambda: held.progress.done == 12)
        assert shows(hands, StepScreen)
        assert held.wrong is None
        says = f"Wrong: {wrong}. Put it right now: 1 to 22."
        assert f"Before the jump you were at move 9. {says}" in hands.words
        assert voice().last.startswith(says)
        await hands.press("j", "w", *slots_of(taken), "enter", "f")
        await hands.press("enter")
        await hands.wait_for(lambda: held.wrong == 6)
        assert held.progress.done == 12
        assert "Marked as wrong: repeat 2, move 7, 14 to 22 instead of 8 to 22." in hands.words
        assert "Undo to it, and lay that strand back in 14." in hands.words


async def test_the_disk_of_a_place_with_a_wrong_move_is_drawn_as_it_lies(kept: Kept, begin: Begin) -> None:
    lies = dict.fromkeys((1, 5, 6, 21), "f") | dict.fromkeys((13, 14, 29, 30), "d")
    async with sitting(kept, begin(ROPE, done=8), size=(120, 36)) as hands:
        await hands.press("j", "w", *slots_of(lies), "enter")
        screen = hands.app.screen
        assert isinstance(screen, LostPlaceScreen)
        spans = [span for line in screen.lines(120, 36) for span in line if span.text.strip().isdigit()]
        filled = {int(span.text) for span in spans if span.bold}
        assert filled == set(lies)


async def test_in_a_low_window_the_place_that_is_looked_at_comes_first_and_whole(kept: Kept, begin: Begin) -> None:
    lies = dict.fromkeys((1, 5, 6, 21), "f") | dict.fromkeys((13, 14, 29, 30), "d")
    places = (
        "> repeat 4, move 13 next, 4 moves further; wrong: repeat 2, move 7, 8 to 1 instead of 8 to 22",
        "> repeat 20, move 77 next, 68 moves further; wrong: repeat 18, move 72, 8 to 1 instead of 8 to 22",
    )
    async with sitting(kept, begin(ROPE, done=8), size=(40, 12)) as hands:
        await hands.press("j", "w", *slots_of(lies), "enter")
        for place in places:
            assert place in hands.words
            await hands.press("down")
        await hands.press("9", "enter")
        assert "None of these places is in repeat 9." in hands.words
        assert places[1] in hands.words
