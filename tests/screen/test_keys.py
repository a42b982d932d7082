"""The keys of the step screen: each does what it says, whatever has the focus, and all can be changed."""

from collections.abc import Callable

import pytest
from textual import events
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Button, OptionList

from benchmate.actions import ACTIONS
from benchmate.bench.step.step_screen import StepScreen
from benchmate.bench.terminal.guard import Press
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from tests.screen.hands import sitting

DONE = ("space", "enter", "right", "pagedown")
BACK = ("left", "backspace", "pageup")


class Eater(Widget, can_focus=True):
    """Takes every key that reaches it."""

    def __init__(self, reached: list[str]) -> None:
        super().__init__()
        self._reached = reached

    def on_key(self, event: events.Key) -> None:
        event.stop()
        self._reached.append(event.key)


def noting(name: str, done: list[str]) -> Callable[[Press], None]:
    """An action that only notes its name and its key."""
    return lambda press: done.append(f"{name} by {press.key}")


async def test_done_and_back(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        assert "0/30" in hands.text
        for number, key in enumerate(DONE, 1):
            await hands.press(key)
            assert held.progress.done == number
            assert f"{number}/30" in hands.text
        for number, key in enumerate(BACK, 1):
            await hands.press(key)
            assert held.progress.done == 4 - number
            assert f"{4 - number}/30" in hands.text


async def test_back_at_the_first_step_stays_there(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press(*BACK)
        assert chevron.held.progress.done == 0
        assert "0/30" in hands.text


@pytest.mark.parametrize("widget", [Button, OptionList, VerticalScroll])
async def test_no_focus_takes_a_key_from_the_step(kept: Kept, chevron: OpenedPiece, widget: type) -> None:
    async with sitting(kept, chevron) as hands:
        eater = OptionList("one", "two") if widget is OptionList else widget()
        eater.can_focus = True
        await hands.app.screen.mount(eater)
        eater.focus()
        await hands.catch_up()
        assert hands.app.focused is eater
        await hands.press(*DONE)
        assert chevron.held.progress.done == 4
        await hands.press(*BACK)
        assert chevron.held.progress.done == 1
        await hands.press("u")
        assert "Which is wrong?" in hands.text


async def test_every_action_is_taken_before_anything_else_gets_its_key(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        screen = hands.app.screen
        assert isinstance(screen, StepScreen)
        assert set(screen.does) == {action.name for action in ACTIONS}
        done: list[str] = []
        for action in ACTIONS:
            screen.does[action.name] = noting(action.name, done)
        reached: list[str] = []
        eater = Eater(reached)
        await screen.mount(eater)
        eater.focus()
        await hands.catch_up()
        for action in ACTIONS:
            await hands.press(*action.keys)
        assert done == [f"{action.name} by {key}" for action in ACTIONS for key in action.keys]
        assert reached == []
        await hands.press("x")
        assert reached == ["x"]


async def test_q_leaves_and_the_piece_is_kept(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "space", "q")
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_value == 0
    assert [(piece.done, piece.holder) for piece in kept.pieces.all()] == [(2, None)]


async def test_ctrl_c_leaves_from_any_screen(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "u", "ctrl+c")
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_code == 0
    assert [piece.done for piece in kept.pieces.all()] == [1]


async def test_an_unknown_key_changes_nothing(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        before = hands.text
        await hands.press("x", "tab", "f5", "up", "down", "ctrl+a", "home", "y", "1")
        assert hands.text == before
        assert chevron.held.progress.done == 0


async def test_question_mark_shows_all_keys(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("question_mark")
        for action in ACTIONS:
            assert action.says in hands.words
        assert "space, enter, right, page down" in hands.words
        assert "left, backspace, page up" in hands.words
        assert "0.1 s" in hands.text
        await hands.press("space")
        assert chevron.held.progress.done == 0
        await hands.press("escape", "space")
        assert chevron.held.progress.done == 1


async def test_all_keys_can_be_read_on_a_small_screen(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await hands.press("question_mark")
        seen = hands.words
        for _ in ACTIONS:
            await hands.press("down")
            seen += " " + hands.words
        for action in ACTIONS:
            assert action.says in seen
        assert "space, enter, right, page down" in seen
        await hands.press("up", "escape")
        assert isinstance(hands.app.screen, StepScreen)


async def test_d_is_dark_or_light(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        seen = [hands.app.light]
        for _ in range(2):
            await hands.press("d")
            seen.append(hands.app.light)
        assert seen == [False, True, False]
    async with sitting(kept, chevron, settings=DEFAULTS._replace(screen="light")) as hands:
        assert hands.app.light


# Changed keys


async def test_keys_by_name_in_the_settings(kept: Kept, chevron: OpenedPiece) -> None:
    keys = dict(DEFAULTS.keys) | {"done": ("x", "full_stop"), "back": ("space",), "wrong": ("left",), "leave": ("f2",)}
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        await hands.press("x", "full_stop", "x")
        assert chevron.held.progress.done == 3
        await hands.press("enter", "right", "pagedown", "backspace", "pageup", "u", "q")
        assert chevron.held.progress.done == 3
        await hands.press("space")
        assert chevron.held.progress.done == 2
        await hands.press("left")
        assert "Which is wrong?" in hands.text
        await hands.press("escape", "question_mark")
        assert "x, ." in hands.text
        await hands.press("escape", "f2")
        await hands.wait_for(lambda: not hands.app.is_running)


async def test_an_action_may_have_no_key_at_all(kept: Kept, chevron: OpenedPiece) -> None:
    keys = dict(DEFAULTS.keys) | {"back": (), "jump": ()}
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        await hands.press("space", *BACK, "j")
        assert chevron.held.progress.done == 1
        assert isinstance(hands.app.screen, StepScreen)


@pytest.mark.parametrize("action", [action.name for action in ACTIONS])
async def test_every_action_can_have_another_key(kept: Kept, chevron: OpenedPiece, action: str) -> None:
    keys = dict(DEFAULTS.keys) | {action: ("f9",)}
    done: list[str] = []
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        screen = hands.app.screen
        assert isinstance(screen, StepScreen)
        screen.does[action] = lambda _: done.append(action)
        await hands.press(*DEFAULTS.keys[action])
        assert done == []
        await hands.press("f9")
        assert done == [action]


TOLD = "Forward, 1 mossy green over 2 straw, then mossy green hangs at 2, straw at 1; row 3."


async def test_r_shows_the_instruction_in_words_until_the_next_press(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.jump(5)
    async with sitting(kept, chevron) as hands:
        for _ in range(2):
            await hands.press("r")
            assert TOLD in hands.legible
            await hands.press("r")
            assert TOLD not in hands.legible
            assert "makes the knot" in hands.legible
            await hands.press("r")
            assert TOLD not in hands.words, "it stands in large type"
            assert "makes the knot" not in hands.legible
            assert held.progress.done == 5
            await hands.press("r")
        await hands.press("r")
        # A key without an action ends it too, and does nothing else.
        await hands.press("z")
        assert TOLD not in hands.legible
        assert "makes the knot" in hands.legible
        await hands.press("r", "space")
        assert TOLD not in hands.legible
        assert held.progress.done == 6
        held.mark_wrong(4)
        await hands.press("r")
        assert "Take out the wrong knot of" in hands.legible


async def test_r_tells_the_whole_press(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("m", "m", "r")
        assert hands.app.press == "row"
        assert "2 forward" in hands.legible
        assert "backward" in hands.legible
        await hands.press("left")
        chevron.held.jump(30)
        await hands.press("r")
        assert "All done." in hands.words
