"""A stuck pedal, or something lying on the keys, cannot run through the piece."""

import pytest

from benchmate.bench.screens.flood import FloodQuestion
from benchmate.bench.screens.wrong_knot import WrongKnotScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from tests.screen.hands import Hands, sitting


def stopped(hands: Hands) -> bool:
    """True while the question is asked."""
    return isinstance(hands.app.screen, FloodQuestion)


async def test_a_key_held_down_counts_once(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.hold("space", 8, gap=0.05)
        assert chevron.held.progress.done == 1
        assert "1/30" in hands.text
        await hands.press("space")
        assert chevron.held.progress.done == 2


async def test_presses_015_seconds_apart_always_count(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.hold("space", 30, gap=0.15)
        assert chevron.held.progress.done == 30
        assert not stopped(hands)


async def test_back_is_guarded_like_done(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.hold("space", 10, gap=0.15)
        hands.now += 1
        await hands.hold("left", 6, gap=0.05)
        assert chevron.held.progress.done == 9


async def test_two_keys_in_quick_turn_are_two_presses(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "enter", "left", gap=0.05)
        assert chevron.held.progress.done == 1


async def test_the_guard_of_the_settings_holds(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(guard=400)) as hands:
        await hands.press("space", "space", gap=0.3)
        assert chevron.held.progress.done == 1
        await hands.press("space", gap=0.5)
        assert chevron.held.progress.done == 2


@pytest.mark.parametrize(("gap", "most"), [(0.001, 1), (0.033, 1), (0.092, 1), (0.12, 11)])
async def test_a_flood_stops_the_bench_with_a_question(kept: Kept, chevron: OpenedPiece, gap: float, most: int) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.hold("space", 200, gap=gap)
        assert stopped(hands)
        assert "Is a pedal stuck, or something lying on the keys?" in hands.words
        assert 1 <= chevron.held.progress.done <= most
        done = chevron.held.progress.done
        await hands.hold("space", 50, gap=0.05)
        await hands.press("space", "enter", "left", "u", "escape", gap=2)
        assert stopped(hands)
        assert chevron.held.progress.done == done


async def test_several_keys_held_down_are_a_flood(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        for _ in range(40):
            for key in ("space", "enter", "right"):
                hands.send(key, 0.03)
        await hands.catch_up()
        assert stopped(hands)
        assert chevron.held.progress.done <= 11


async def test_only_a_press_after_a_quiet_moment_answers(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.hold("space", 20)
        await hands.press("c", gap=0.1)
        assert stopped(hands)
        await hands.hold("c", 30)
        assert stopped(hands)
        await hands.press("c", gap=1)
        assert not stopped(hands)
        assert isinstance(hands.app.screen, StepScreen)
        done = chevron.held.progress.done
        await hands.press("space")
        assert chevron.held.progress.done == done + 1


async def test_q_leaves_from_the_question(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.hold("space", 20)
        await hands.press("q", gap=1)
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_value == 0


async def test_the_question_does_not_say_that_only_one_press_counted(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.hold("space", 30, gap=0.12)
        # Some of these were far enough apart to count, so the question must not say that only the first did.
        assert chevron.held.progress.done > 1
        assert "past the first" not in hands.words
        assert "check" in hands.words


async def test_held_u_changes_nothing(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(9)
    async with sitting(kept, chevron) as hands:
        await hands.hold("u", 41)
        assert isinstance(hands.app.screen, StepScreen | WrongKnotScreen | FloodQuestion)
        assert chevron.held.progress.done == 9
        assert chevron.held.wrong is None


async def test_a_held_key_marks_the_wrong_knot_and_undoes_nothing(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(9)
    async with sitting(kept, chevron) as hands:
        await hands.press("u")
        await hands.hold("space", 9)
        assert chevron.held.wrong == 8
        assert chevron.held.progress.done == 9


async def test_a_flood_on_the_way_to_a_wrong_knot_undoes_one(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(20)
    chevron.held.mark_wrong(0)
    async with sitting(kept, chevron) as hands:
        await hands.hold("enter", 100)
        assert stopped(hands)
        assert chevron.held.progress.done == 19


async def test_with_a_press_a_row_a_flood_is_one_row(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(press="row")) as hands:
        await hands.hold("space", 100)
        assert stopped(hands)
        assert chevron.held.progress.done == 3


async def test_the_question_fits_a_small_screen(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await hands.hold("space", 100)
        assert "c" in [line.strip()[:1] for line in hands.lines]
        assert "q" in [line.strip()[:1] for line in hands.lines]
        assert "Is a pedal stuck" in hands.words
