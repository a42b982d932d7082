"""Pace mode: a knot counts only when its timer runs out, and one key undoes the last knot."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest

from benchmate.bench.step import pace_mode as beat
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.pace import Press
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from benchmate.store.pieces import Pieces
from tests.screen.benches import FOUR_KNOTS, STRIPE, WRITTEN, full
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

STEP_KEYS = [*DEFAULTS.keys["done"], *DEFAULTS.keys["back"]]


class Clock:
    """The monotonic clock and the wall clock of pace mode, which only the test moves."""

    def __init__(self) -> None:
        self.steady = 1000.0
        self.wall = 5000.0

    def passes(self, seconds: float, *, asleep: float = 0.0) -> None:
        """Moves both clocks on, and the wall clock by the time asleep too."""
        self.steady += seconds
        self.wall += seconds + asleep


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    both = SimpleNamespace(monotonic=lambda: clock.steady, time=lambda: clock.wall)
    monkeypatch.setattr(beat, "time", both)
    return clock


def bench(hands: Hands) -> StepScreen:
    assert isinstance(hands.app.screen, StepScreen)
    return hands.app.screen


async def let_pass(hands: Hands, clock: Clock, seconds: float) -> None:
    """Moves time on in half seconds, with a check of the clock after each."""
    for _ in range(round(seconds / 0.5)):
        clock.passes(0.5)
        await look(hands)


async def look(hands: Hands) -> None:
    """Has the bench check the clock once."""
    screen = next(screen for screen in hands.app.screen_stack if isinstance(screen, StepScreen))
    if screen.pace_mode.running:
        screen.pace_mode.check_clock()
    await hands.catch_up()


async def test_each_beat_that_runs_out_counts_one_knot(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        assert "DONE IN 6" in hands.text
        assert "space pauses left undoes one" in hands.words
        assert "- + pace 6.0 s" in hands.words
        assert voice().switched == ["on"]
        assert voice().words == ["row 1 of 12, plum, first from the left, forward over mossy green"]
        await let_pass(hands, clock, 5.5)
        assert chevron.held.progress.done == 0
        assert "DONE IN 1" in hands.text
        await let_pass(hands, clock, 0.5)
        assert chevron.held.progress.done == 1
        assert "1/30" in hands.text
        assert "DONE IN 6" in hands.text
        assert kept.pieces.all()[0].done == 1
        assert voice().last == "straw, third from the left, forward over straw"
        await let_pass(hands, clock, 12)
        assert chevron.held.progress.done == 3
        assert len(voice().said) == 4


async def test_a_timer_checks_the_clock(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        for _ in range(7):
            clock.passes(0.9)
            await hands.wait_for(lambda: bench(hands).pace_mode._checked == clock.wall)
        assert chevron.held.progress.done == 1


@pytest.mark.parametrize("key", STEP_KEYS)
async def test_any_step_key_pauses_and_counts_nothing(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder], key: str
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        await let_pass(hands, clock, 13)
        assert chevron.held.progress.done == 2
        await hands.press(key)
        back = key in DEFAULTS.keys["back"]
        assert chevron.held.progress.done == (1 if back else 2)
        assert "Paused" in hands.words
        assert "p continues." in hands.words
        assert "DONE IN" not in hands.text
        if back:
            assert voice().last == "undo forward, straw over straw, straw back, third from the left"
        # A foot that comes down twice means one press.
        await hands.press("space")
        assert chevron.held.progress.done == (1 if back else 2)
        await let_pass(hands, clock, 30)
        assert chevron.held.progress.done == (1 if back else 2)
        await hands.press("space")
        assert chevron.held.progress.done == (2 if back else 3)


async def test_a_key_held_down_pauses_and_does_no_more(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        await let_pass(hands, clock, 7)
        await hands.hold("space", 8)
        assert chevron.held.progress.done == 1
        assert not bench(hands).pace_mode.running


@pytest.mark.parametrize("key", ["p", "escape"])
async def test_p_and_escape_pause_too(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder], key: str
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        await let_pass(hands, clock, 3)
        await hands.press(key)
        assert "Paused: knot not counted. p continues." in hands.words
        await let_pass(hands, clock, 30)
        assert chevron.held.progress.done == 0
        await hands.press("p")
        assert "DONE IN 6" in hands.text, "the timer starts again from its full length"
        await let_pass(hands, clock, 6)
        assert chevron.held.progress.done == 1


async def test_the_pace_is_the_makers_own_until_another_is_chosen(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    chevron.held.presses = [Press(4 * at, 1) for at in range(9)]
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        assert "DONE IN 4" in hands.text
        assert "pace 4.0 s" in hands.words
        await let_pass(hands, clock, 3)
        await hands.press("plus")
        assert "pace 4.4 s" in hands.words
        assert "DONE IN 5" in hands.text, "with a new pace the timer starts again"
        await hands.press("equals_sign")
        assert "pace 4.8 s" in hands.words
        await hands.press("minus", "minus", "minus", "minus")
        assert "pace 3.3 s" in hands.words
        await hands.press("space", "p")
        assert "pace 3.3 s" in hands.words
        for _ in range(20):
            await hands.press("minus")
        assert "pace 1.5 s" in hands.words
        for _ in range(60):
            await hands.press("plus")
        assert "pace 60.0 s" in hands.words
        assert chevron.held.progress.done == 0


@pytest.mark.parametrize(("gap", "says"), [(0.6, "pace 1.5 s"), (170, "pace 60.0 s")])
async def test_a_makers_own_pace_stays_in_range(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder], gap: float, says: str
) -> None:
    chevron.held.presses = [Press(gap * at, 1) for at in range(9)]
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        assert says in hands.words


async def test_pace_keys_outside_pace_mode_say_what_they_are_for(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("plus")
        assert "For pace mode only; p starts it." in hands.words


async def test_no_beat_counts_while_the_machine_sleeps(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        await let_pass(hands, clock, 3)
        clock.passes(0.1, asleep=3600)
        await look(hands)
        assert "stood still" in hands.words
        await let_pass(hands, clock, 30)
        await hands.press("p")
        await let_pass(hands, clock, 3)
        # The clock on the wall was set back.
        clock.passes(0.1, asleep=-3600)
        await look(hands)
        assert "stood still" in hands.words
        assert not bench(hands).pace_mode.running
        await let_pass(hands, clock, 30)
        await hands.press("p")
        await let_pass(hands, clock, 3)
        # The program itself was stopped.
        clock.passes(500)
        await look(hands)
        assert "stood still" in hands.words
        assert chevron.held.progress.done == 0


@pytest.mark.parametrize("key", ["j", "o", "w", "s", "question_mark"])
async def test_no_beat_counts_behind_another_screen(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder], key: str
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p", key)
        assert not isinstance(hands.app.screen, StepScreen)
        await let_pass(hands, clock, 30)
        assert chevron.held.progress.done == 0
        await hands.press("escape")
        assert "Paused" in hands.words
        await let_pass(hands, clock, 30)
        assert chevron.held.progress.done == 0


async def test_a_knot_that_cannot_be_saved_stops_pace_mode(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder], monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "p")
        said = voice().words

        monkeypatch.setattr(Pieces, "add", full)
        await let_pass(hands, clock, 13)
        assert "NOT SAVED, NOT COUNTED. The disk is full." in hands.words
        assert chevron.held.progress.done == 1
        assert not bench(hands).pace_mode.running
        assert voice().words == [*said, f"not saved, not counted, {said[-1]}"]


async def test_another_window_takes_over(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "p")
        assert chevron.held.piece is not None
        kept.pieces.hold(chevron.held.piece, "somebody else", force=True)
        await let_pass(hands, clock, 13)
        assert "Read-only: open in another window" in hands.words
        assert chevron.held.progress.done == 1
        assert not bench(hands).pace_mode.running
        await hands.press("p")
        assert "Read-only: open in another window" in hands.words
        assert not bench(hands).pace_mode.running


async def test_pace_mode_ends_with_the_piece(
    kept: Kept, begin: Callable[..., OpenedPiece], clock: Clock, voice: Callable[[], Recorder]
) -> None:
    opening = begin(STRIPE, done=7)
    async with sitting(kept, opening) as hands:
        await hands.press("p")
        await let_pass(hands, clock, 30)
        assert opening.held.progress.finished
        assert not bench(hands).pace_mode.running
        assert voice().last == "the piece is done"
        await hands.press("p")
        assert "All done." in hands.words
        assert not bench(hands).pace_mode.running


async def test_written_steps_have_no_timer(
    kept: Kept, begin: Callable[..., OpenedPiece], clock: Clock, voice: Callable[[], Recorder]
) -> None:
    opening = begin(WRITTEN)
    held = opening.held
    async with sitting(kept, opening) as hands:
        await hands.press("p")
        assert "No timer for this step; press space when done." in hands.words
        assert not bench(hands).pace_mode.running
        await hands.press("space", "space")
        assert held.progress.done == 2
        # The first time of a counted step is done: the other times have a timer.
        await hands.press("p")
        await let_pass(hands, clock, 30)
        assert held.progress.finished


async def test_pace_mode_pauses_where_the_band_ends(
    kept: Kept, begin: Callable[..., OpenedPiece], clock: Clock, voice: Callable[[], Recorder]
) -> None:
    opening = begin(FOUR_KNOTS + "finish: braided-tie\n")
    held = opening.held
    held.jump(3)
    async with sitting(kept, opening) as hands:
        await hands.press("p")
        await let_pass(hands, clock, 30)
        assert held.progress.done == held.whole.main.work.size
        assert "Paused: no timer for this step; press space when done." in hands.words


async def test_no_knot_counts_while_its_prompt_is_spoken(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p")
        voice().speaking = True
        await let_pass(hands, clock, 20)
        assert chevron.held.progress.done == 0
        assert "DONE IN 1" in hands.text
        voice().speaking = False
        await let_pass(hands, clock, 0.5)
        assert chevron.held.progress.done == 0
        await let_pass(hands, clock, 0.5)
        assert chevron.held.progress.done == 1
        await let_pass(hands, clock, 5.5)
        assert chevron.held.progress.done == 1


async def test_a_window_too_small_to_see_the_time_left(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await hands.press("p")
        await hands.pilot.resize_terminal(20, 5)
        await let_pass(hands, clock, 30)
        assert chevron.held.progress.done == 0
        assert not bench(hands).pace_mode.running
        await hands.press("p")
        assert not bench(hands).pace_mode.running
        await hands.pilot.resize_terminal(40, 12)
        assert "too small" in hands.words


async def test_left_at_the_first_knot_pauses_and_undoes_nothing(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("p", "left")
        assert "Paused" in hands.words
        assert "undone" not in hands.words


async def test_no_pace_mode_on_the_way_to_a_wrong_knot(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder]
) -> None:
    chevron.held.jump(6)
    async with sitting(kept, chevron) as hands:
        await hands.press("u", "left", "left", "enter", "p")
        assert "Undo the wrong knot before pace mode, or press escape to keep it." in hands.words
        assert not bench(hands).pace_mode.running


async def test_a_beat_is_one_knot_whatever_a_press_means(
    kept: Kept, begin: Callable[..., OpenedPiece], clock: Clock, voice: Callable[[], Recorder]
) -> None:
    opening = begin(STRIPE)
    async with sitting(kept, opening, settings=DEFAULTS._replace(press="run")) as hands:
        await hands.press("p")
        assert voice().last.endswith("forward over foam")
        await let_pass(hands, clock, 6)
        assert opening.held.progress.done == 1
        await hands.press("space")
        await let_pass(hands, clock, 2)
        await hands.press("space")
        assert opening.held.progress.done == 5


@pytest.mark.parametrize("size", [(40, 12), (60, 18), (80, 24), (200, 60)])
async def test_the_time_left_is_seen(
    kept: Kept, chevron: OpenedPiece, clock: Clock, voice: Callable[[], Recorder], size: tuple[int, int]
) -> None:
    async with sitting(kept, chevron, size=size) as hands:
        await hands.press("p")
        await let_pass(hands, clock, 3)
        assert "DONE IN 3" in hands.text
        voice().report("There is no player.")
        await hands.catch_up()
        assert "There is no player." in hands.legible
        assert "DONE IN 3" in hands.text
