"""A string that runs short at the bench: asked about, told when its row comes, replaced; rests and small trouble."""

from collections.abc import Callable

import pytest

from benchmate.bench.screens.trouble.running_short_screen import RunningShortScreen
from benchmate.bench.screens.wrong_knot import WrongKnotScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.display.cells import Line
from benchmate.piece_opening import Kept, OpenedPiece, resume_listed
from benchmate.piece_questions.trouble import running_short, small_trouble
from benchmate.piece_questions.trouble.string_forecast import Forecast, Forecasts
from benchmate.settings import DEFAULTS
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.box import Box
from tests.screen.benches import CHEVRON, PICTURE, full
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

Begin = Callable[..., OpenedPiece]
LONG = CHEVRON.replace("repeats: 3", "repeats: 30")
HERE = "lay in a new plum beside plum at 5"
SIZES = [(80, 24), (40, 12), (120, 36), (200, 60)]


def words(hands: Hands) -> str:
    """All words of the screen, on one line."""
    return " ".join(hands.text.split())


@pytest.fixture
def sixty(begin: Begin) -> OpenedPiece:
    """A band of 120 rows, 60 knots of it tied."""
    return begin(LONG, done=60)


@pytest.mark.parametrize("size", SIZES)
async def test_a_string_is_measured_told_of_and_replaced(kept: Kept, sixty: OpenedPiece, size: tuple[int, int]) -> None:
    held = sixty.held
    async with sitting(kept, sixty, size=size) as hands:
        await hands.press("u", "l")
        assert isinstance(hands.app.screen, RunningShortScreen)
        assert "1 plum: certain to last" in words(hands)
        # The string that is chosen at first, measured: 10 cm.
        await hands.press("enter", "enter", "1", "0", "enter")
        assert "GIVES OUT IN ROW 32" in hands.legible
        assert "Lay in a new one by row 29, knot 73" in words(hands)
        assert held.measured[1].mm == 100
        await hands.press("escape")
        assert "1 plum: probably runs short in row 32" in words(hands)
        await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen)
        assert "Plum at 1: gives out at row 32, knot 80; a new one by row 29, knot 73." in words(hands)
        for _ in range(10):
            await hands.press("space")
            assert HERE not in words(hands).partition("In this row, ")[0]
            assert ("In this row, lay in a new plum" in words(hands)) == (held.progress.done == 70)
        await hands.press("space", "space")
        assert held.progress.done == 72
        assert HERE in " ".join(hands.legible.split()), "in large type where there is room"
        await hands.press("space")
        assert HERE not in " ".join(hands.legible.split())
        assert "Is the new plum in? u, l: say how long it is." in words(hands)
        await hands.press("u", "l", "enter", "end", "enter", "enter", "escape", "escape")
        assert held.measured[1].joined
        for _ in range(9):
            await hands.press("space")
            assert "give out" not in words(hands)
        assert held.progress.done == 82


async def test_ten_keys_from_the_step_to_what_follows(kept: Kept, sixty: OpenedPiece) -> None:
    async with sitting(kept, sixty) as hands:
        keys = ["u", "l", "enter", "enter", "1", "2", "enter"]
        await hands.press(*keys)
        assert "GIVES OUT IN ROW" in hands.legible
        assert len(keys) <= 10


async def test_a_digit_begins_the_number_at_once(kept: Kept, sixty: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, sixty, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("u", "l", "1")
        assert "1 plum: certain to last" in words(hands), "which string it is comes first"
        await hands.press("enter", "down", "1")
        assert "GIVES OUT" not in hands.legible
        assert "1 centimetre" in voice().last
        await hands.press("2", "enter")
        assert sixty.held.measured[1].mm == 120
        assert "GIVES OUT IN ROW" in hands.legible


async def test_told_again_after_leaving_and_by_voice(
    kept: Kept, sixty: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    sixty.held.measure(1, 100)
    for number in sixty.held.progress.coming(11):
        sixty.held.tie([number])
    sixty.held.let_go()
    again = resume_listed(kept, kept.pieces.all()[0])
    again.held.hold()
    async with sitting(kept, again, settings=DEFAULTS._replace(voice="on")) as hands:
        assert "In this row, lay in a new plum" in words(hands)
        said = voice()
        assert said.last.startswith("in this row, lay in a new plum, ")
        await hands.press("space")
        assert said.last.startswith("lay in a new plum in this knot, ")
        assert HERE in words(hands)
        await hands.press("left")
        assert said.last.startswith("in this row, lay in a new plum, ")


async def test_the_screen_speaks(kept: Kept, sixty: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, sixty, settings=DEFAULTS._replace(voice="on")) as hands:
        said = voice()
        await hands.press("u", "l")
        assert "1 plum: certain to last" in said.last
        await hands.press("enter")
        assert "How much is left?" in said.last
        await hands.press("down", "enter")
        assert "Plum at 1 gives out at row 32, knot 80" in said.last


async def test_a_measure_that_cannot_be_saved_is_not_lost_from_sight(
    kept: Kept, sixty: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, sixty) as hands:
        await hands.press("u", "l", "enter", "down")
        monkeypatch.setattr(type(sixty.held), "measure", full)
        await hands.press("enter")
        assert "The disk is full." in words(hands)
        assert isinstance(hands.app.screen, RunningShortScreen)
        await hands.press("escape", "escape")
        assert sixty.held.measured == {}


async def test_a_new_string_from_the_box_in_one_key_more_and_what_is_not_saved_is_said(
    kept: Kept, sixty: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    (skein,) = Box(kept.pieces.database).add([BoxThread(0, "heath", "#5d1a4a", "floss", 8000.0, whole=True)])
    async with sitting(kept, sixty) as hands:
        await hands.press("u", "l", "enter", "end", "enter")
        assert "How long was it cut, in all?" in words(hands)
        await hands.press("enter")
        assert "CUT FROM" in hands.legible
        assert "> skein heath, 8 m" in words(hands)
        with monkeypatch.context() as patch:
            patch.setattr(type(sixty.held), "join", full)
            await hands.press("enter")
            assert "The disk is full." in words(hands)
            assert "How long was it cut, in all?" in words(hands)
        await hands.press("enter", "enter")
        assert "LASTS" in hands.legible
        assert [each.thread for each in sixty.held.new_strings] == [skein]
        await hands.press("escape", "enter", "end")
        assert f"> {running_short.NOT_NEW}" in words(hands)
        await hands.press("enter")
        assert sixty.held.new_strings == []
        assert sixty.held.measured == {}


async def test_pictures_say_so_in_a_sentence(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(PICTURE, done=4)) as hands:
        step = hands.app.screen
        assert isinstance(step, StepScreen)
        step.ask(RunningShortScreen(step.bench, step.held), lambda _: None)
        await hands.catch_up()
        assert "Where a string gives out is known in diagonal bands only." in words(hands)
        await hands.press("enter", "escape")
        assert hands.app.screen is step


async def test_escape_goes_back_a_question_at_a_time(kept: Kept, sixty: OpenedPiece) -> None:
    async with sitting(kept, sixty) as hands:
        await hands.press("u", "l", "down", "enter", "enter", "escape")
        assert "measure it and type how much" in words(hands)
        await hands.press("escape")
        assert "2 mossy green: certain to last" in words(hands)
        await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen | WrongKnotScreen)
        assert sixty.held.measured == {}


async def test_pace_mode_pauses_where_a_string_is_to_be_laid_in(
    kept: Kept, sixty: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    sixty.held.measure(1, 100)
    for number in sixty.held.progress.coming(11):
        sixty.held.tie([number])
    async with sitting(kept, sixty) as hands:
        step = hands.app.screen
        assert isinstance(step, StepScreen)
        await hands.press("p")
        assert step.pace_mode.beat() is not None
        step.pace_mode._due = 0.0
        step.pace_mode.check_clock()
        await hands.catch_up()
        assert (step.pace_mode.beat(), sixty.held.progress.done) == (None, 72)
        assert HERE in words(hands)
        await hands.press("p")
        assert step.pace_mode.beat() is None
        assert "No timer for this step" in words(hands)
    assert voice().said


async def test_a_piece_stands_on_the_screen_before_its_strings_are_foretold(
    kept: Kept, sixty: OpenedPiece, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    happened: list[str] = []
    lines, foretold = StepScreen.lines, Forecasts.of

    def drawn(screen: StepScreen, width: int, height: int) -> list[Line]:
        found = lines(screen, width, height)
        happened.append("drawn")
        return found

    def of(forecasts: Forecasts, held: OpenPiece) -> Forecast | None:
        happened.append("foretold")
        return foretold(forecasts, held)

    monkeypatch.setattr(StepScreen, "lines", drawn)
    monkeypatch.setattr(Forecasts, "of", of)
    sixty.held.measure(1, 100)
    for number in sixty.held.progress.coming(12):
        sixty.held.tie([number])
    async with sitting(kept, sixty, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.catch_up()
        assert (happened[0], "foretold" in happened) == ("drawn", True)
        assert HERE in words(hands)
        assert voice().said[0].words.startswith("lay in a new plum in this knot, ")


# Rests and small trouble


@pytest.mark.parametrize("size", SIZES)
async def test_a_rest_is_offered_and_the_next_press_takes_it_away(
    kept: Kept, sixty: OpenedPiece, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "benchmate.piece_questions.trouble.beside_the_step.times_of_work",
        lambda *given: [given[-1] - 60.0 * minute for minute in range(51, -1, -1)],
    )
    async with sitting(kept, sixty, size=size) as hands:
        assert "rest" not in words(hands).lower()
        await hands.press("space")
        assert ("Rest your hands for 5 to 10 minutes" if size[1] >= 16 else "REST") in words(hands)
        await hands.press("space")
        assert "rest" not in words(hands).lower()


async def test_a_rest_is_said_aloud_and_silenced_by_a_setting(
    kept: Kept, sixty: OpenedPiece, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "benchmate.piece_questions.trouble.beside_the_step.times_of_work",
        lambda *given: [given[-1] - 60.0 * minute for minute in range(51, -1, -1)],
    )
    async with sitting(kept, sixty, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("space")
        assert voice().last.startswith("51 minutes: rest your hands, ")
        await hands.press("space")
        assert "rest your hands" not in voice().last
    sixty.held.hold()
    async with sitting(kept, sixty, settings=DEFAULTS._replace(rest=0)) as hands:
        await hands.press("space")
        assert "Rest" not in words(hands)


async def test_small_trouble_is_mentioned_once_and_gone_with_the_next_press(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(LONG)) as hands:
        await hands.press("space")
        assert small_trouble.SHOWS not in words(hands), "the next knot is of one colour"
        await hands.press("space")
        assert small_trouble.SHOWS in words(hands)
        await hands.press("space")
        assert small_trouble.SHOWS not in words(hands)
        await hands.press("left")
        assert small_trouble.SHOWS not in words(hands)


async def test_small_trouble_is_said_after_the_step_at_full_detail(
    kept: Kept, begin: Begin, voice: Callable[[], Recorder]
) -> None:
    tip = small_trouble.ALOUD[small_trouble.SHOWS]
    spoken = DEFAULTS._replace(voice="on")
    for settings, is_said in (
        (spoken, True),
        (spoken._replace(level="short"), False),
        (spoken._replace(tips="off"), False),
    ):
        async with sitting(kept, begin(LONG), settings=settings) as hands:
            await hands.press("space", "space")
            assert voice().last.endswith(f". {tip}") == is_said
            assert voice().last.startswith("plum, first from the right, "), "the step first"
            await hands.press("space")
            assert "the knot back" not in voice().last
            await hands.press("r")
            assert "the knot back" not in voice().last


async def test_small_trouble_never_stands_in_the_way(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(LONG), size=(40, 12)) as hands:
        await hands.press("space", "space")
        assert "before its second half" not in words(hands).lower(), "a low window has no room for it"
    async with sitting(kept, begin(LONG), settings=DEFAULTS._replace(tips="off")) as hands:
        await hands.press("space", "space")
        assert small_trouble.SHOWS not in words(hands)
