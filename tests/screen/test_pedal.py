"""Giving a pedal its action by pressing it, and what is said when it cannot be told from another key."""

from pathlib import Path

import pytest

from benchmate.actions import ACTIONS
from benchmate.bench.screens import keys as keys_screen
from benchmate.bench.step.step_screen import BenchScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS, Settings, read_settings, write_settings
from benchmate.store import places
from benchmate.store.database import StoreError
from tests.screen.hands import Hands, sitting


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pushes and silences that take no real time."""
    monkeypatch.setattr(keys_screen, "TOGETHER", 0.02)
    monkeypatch.setattr(keys_screen, "NOTHING", 0.1)


async def listening(hands: Hands, action: str = "done") -> None:
    """Opens the screen on which a pedal is pressed, for an action."""
    await hands.press("question_mark", "p")
    assert "Which action is the pedal for?" in hands.text
    for _ in range([each.name for each in ACTIONS].index(action)):
        await hands.press("down")
    await hands.press("enter")
    assert next(each.says for each in ACTIONS if each.name == action) in hands.words


async def push(hands: Hands, *keys: str) -> None:
    """Pushes the pedal: all it sends comes at once."""
    for key in keys:
        hands.send(key, 0.01)
    await hands.wait_for(lambda: "It arrived as" in hands.text)


async def test_a_pedal_is_given_its_action(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "b")
        assert "It arrived as: b." in hands.text
        await hands.press("y")
        assert "Kept: b." in hands.text
        assert "space, enter, right, page down, b" in hands.words
        await hands.press("escape", "escape")
        assert isinstance(hands.app.screen, BenchScreen)
        await hands.press("b", "space")
        assert chevron.held.progress.done == 2
    assert read_settings(places.settings_file()).keys["done"] == (*DEFAULTS.keys["done"], "b")


async def test_the_settings_written_are_read_again(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron, settings=Settings(DEFAULTS.keys, 250, "row", "light")) as hands:
        await listening(hands, "back")
        await push(hands, "home")
        await hands.press("y")
    written = read_settings(places.settings_file())
    assert written == Settings(written.keys, 250, "row", "light")
    chevron.held.hold()
    async with sitting(kept, chevron, settings=written) as hands:
        await hands.press("space", gap=0.5)
        assert chevron.held.progress.done == 3
        await hands.press("home", gap=0.5)
        assert chevron.held.progress.done == 2


async def test_no_leaves_the_keys_as_they_are(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "b")
        await hands.press("n")
        assert "PRESS IT NOW" in hands.text or "For: this step is done" in hands.words
        await push(hands, "f5")
        assert "It arrived as: f5." in hands.text
        await hands.press("escape", "escape", "b")
        assert chevron.held.progress.done == 0
    assert not places.settings_file().exists()


@pytest.mark.parametrize(
    ("key", "twin"), [("tab", "ctrl+i"), ("enter", "ctrl+m"), ("backspace", "ctrl+h"), ("space", "F18")]
)
async def test_what_it_cannot_be_told_from_is_said(kept: Kept, chevron: OpenedPiece, key: str, twin: str) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, key)
        assert f"It arrived as: {key}." in hands.words
        assert f"The terminal cannot tell it from {twin}" in hands.words


async def test_a_key_of_another_action_is_refused(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "pageup")
        assert "It arrived as: page up." in hands.words
        assert "That is already the key for: back up one step" in hands.words
        await hands.press("y")
        assert "That is already the key for" in hands.words
    assert not places.settings_file().exists()


async def test_one_push_that_sends_several_keys_is_refused(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "a", "b", "c")
        assert "It arrived as: a, b, c." in hands.words
        assert "cannot be told from typing" in hands.words
        await hands.press("y")
        assert "cannot be told from typing" in hands.words
    assert not places.settings_file().exists()


async def test_a_held_pedal_is_one_key(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, *["b"] * 8)
        assert "It arrived as: b." in hands.words
        assert "repeats are counted once" in hands.words
        await hands.press("y")
        assert "Kept: b." in hands.text


@pytest.mark.parametrize("key", ["f13", "f20", "ctrl+shift+f24", "left_shift"])
async def test_a_key_that_differs_between_terminals_is_refused(kept: Kept, chevron: OpenedPiece, key: str) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, key)
        assert "not a key that arrives the same way in every terminal" in hands.words
        await hands.press("y")
    assert not places.settings_file().exists()


@pytest.mark.parametrize(("key", "sign"), [("percent_sign", "%"), ("left_parenthesis", "("), ("dollar_sign", "$")])
async def test_any_sign_of_the_keyboard_will_do(kept: Kept, chevron: OpenedPiece, key: str, sign: str) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, key)
        assert f"It arrived as: {sign}." in hands.words
        await hands.press("y", "escape", "escape", key)
        assert chevron.held.progress.done == 1
    chevron.held.hold()
    async with sitting(kept, chevron, settings=read_settings(places.settings_file())) as hands:
        await hands.press(key)
        assert chevron.held.progress.done == 2


async def test_a_key_held_with_alt_is_not_the_key_alone(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "alt+x")
        assert "It arrived as: alt+x." in hands.words
        await hands.press("y", "escape", "escape", "x")
        assert chevron.held.progress.done == 0
        await hands.press("alt+x")
        assert chevron.held.progress.done == 1


async def test_a_key_the_terminal_keeps_to_itself(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await hands.wait_for(lambda: "Nothing has arrived" in hands.text)
        await push(hands, "b")
        assert "It arrived as: b." in hands.text


async def test_escape_goes_back_step_by_step(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await hands.press("escape")
        assert "Which action is the pedal for?" in hands.text
        await hands.press("escape")
        assert "p: press your pedal now" in hands.text
        await hands.press("escape")
        assert isinstance(hands.app.screen, BenchScreen)


async def test_the_usual_keys_again(kept: Kept, chevron: OpenedPiece) -> None:
    changed = DEFAULTS._replace(keys=dict(DEFAULTS.keys) | {"done": ("x",)})
    async with sitting(kept, chevron, settings=changed) as hands:
        await hands.press("question_mark", "p", "d")
        assert "The usual keys are back." in hands.text
        await hands.press("escape", "escape", "space", "x")
        assert chevron.held.progress.done == 1
    assert read_settings(places.settings_file()) == DEFAULTS


async def test_the_usual_keys_of_one_are_not_taken_from_another(kept: Kept, chevron: OpenedPiece) -> None:
    changed = DEFAULTS._replace(keys=dict(DEFAULTS.keys) | {"done": ("x",), "back": ("space",)})
    async with sitting(kept, chevron, settings=changed) as hands:
        await hands.press("question_mark", "p", "d")
        assert "space is the key for: back up one step" in hands.words
        await hands.press("down", "d", "up", "d")
        assert "The usual keys are back." in hands.text
    assert read_settings(places.settings_file()) == DEFAULTS


async def test_settings_that_cannot_be_written_stay_as_they_were(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(file: Path, settings: Settings) -> None:
        raise StoreError(f"{file} cannot be written (No space left on device): the settings stay as they were.")

    monkeypatch.setattr("benchmate.bench.app.write_settings", refuse)
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "b")
        await hands.press("y")
        assert "No space left on device" in hands.words
        await hands.press("escape", "escape", "b")
        assert chevron.held.progress.done == 0


@pytest.mark.parametrize("action", [action.name for action in ACTIONS])
async def test_every_action_is_reached_on_a_small_screen(kept: Kept, chevron: OpenedPiece, action: str) -> None:
    async with sitting(kept, chevron, size=(40, 12)) as hands:
        await listening(hands, action)
        await push(hands, "f9")
        await hands.press("y")
        assert "Kept: f9." in hands.words
    assert "f9" in read_settings(places.settings_file()).keys[action]


async def test_a_key_that_another_window_has_given_away(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "b")
        write_settings(places.settings_file(), DEFAULTS._replace(keys={**DEFAULTS.keys, "jump": ("b",)}))
        await hands.press("y")
        assert "Not done: b is the key for: go to any row or knot. It cannot mean both." in hands.words
    assert read_settings(places.settings_file()).keys["jump"] == ("b",)
