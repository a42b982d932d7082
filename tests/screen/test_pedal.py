"""Setting up a pedal by pressing it, and the notices about keys that cannot be told apart."""

from pathlib import Path

import pytest

from benchmate.actions import ACTIONS
from benchmate.bench.screens import keys as keys_screen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS, Settings, read_settings, write_settings
from benchmate.store import places
from benchmate.store.errors import StoreError
from tests.screen.hands import Hands, sitting


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Shortens the waits for a push and for silence."""
    monkeypatch.setattr(keys_screen, "TOGETHER", 0.02)
    monkeypatch.setattr(keys_screen, "NOTHING", 0.1)


async def listening(hands: Hands, action: str = "done") -> None:
    """Opens the screen that listens for a pedal, for an action."""
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
    await hands.wait_for(lambda: "The pedal sends" in hands.text)


async def test_a_pedal_is_given_its_action(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "b")
        assert "The pedal sends b, the same as the b key." in hands.text
        await hands.press("y")
        assert "Saved: b." in hands.text
        assert "space, enter, right, page down, b" in hands.words
        await hands.press("escape", "escape")
        assert isinstance(hands.app.screen, StepScreen)
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


async def test_n_changes_no_key(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "b")
        await hands.press("n")
        assert "PRESS IT NOW" in hands.text or "For: this step is done" in hands.words
        await push(hands, "f5")
        assert "The pedal sends f5, the same as the f5 key." in hands.text
        await hands.press("escape", "escape", "b")
        assert chevron.held.progress.done == 0
    assert not places.settings_file().exists()


@pytest.mark.parametrize(
    ("key", "twin"), [("tab", "ctrl+i"), ("enter", "ctrl+m"), ("backspace", "ctrl+h"), ("space", "F18")]
)
async def test_keys_a_terminal_cannot_tell_apart_are_named(
    kept: Kept, chevron: OpenedPiece, key: str, twin: str
) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, key)
        assert f"The pedal sends {key}, the same as {twin}" in hands.words


async def test_a_key_of_another_action_is_refused(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "pageup")
        assert "The pedal sends page up, the same as the page up key." in hands.words
        assert "That is already the key for: undo the last step." in hands.words
        await hands.press("y")
        assert "That is already the key for" in hands.words
    assert not places.settings_file().exists()


async def test_one_push_that_sends_several_keys_is_refused(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "a", "b", "c")
        assert "The pedal sends a, b, c." in hands.words
        assert "looks like typing" in hands.words
        await hands.press("y")
        assert "looks like typing" in hands.words
    assert not places.settings_file().exists()


async def test_a_held_pedal_is_one_key(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, *["b"] * 8)
        assert "The pedal sends b, the same as the b key." in hands.words
        assert "repeats count once" in hands.words
        await hands.press("y")
        assert "Saved: b." in hands.text


@pytest.mark.parametrize("key", ["f13", "f20", "ctrl+shift+f24", "left_shift"])
async def test_a_key_that_differs_between_terminals_is_refused(kept: Kept, chevron: OpenedPiece, key: str) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, key)
        assert "That key differs between terminals." in hands.words
        await hands.press("y")
    assert not places.settings_file().exists()


@pytest.mark.parametrize(("key", "sign"), [("percent_sign", "%"), ("left_parenthesis", "("), ("dollar_sign", "$")])
async def test_a_pedal_can_send_any_character(kept: Kept, chevron: OpenedPiece, key: str, sign: str) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, key)
        assert f"The pedal sends {sign}, the same as the {sign} key." in hands.words
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
        assert "The pedal sends alt+x, the same as the alt+x key." in hands.words
        await hands.press("y", "escape", "escape", "x")
        assert chevron.held.progress.done == 0
        await hands.press("alt+x")
        assert chevron.held.progress.done == 1


async def test_a_key_that_never_arrives_is_reported(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await hands.wait_for(lambda: "Nothing arrived" in hands.text)
        await push(hands, "b")
        assert "The pedal sends b, the same as the b key." in hands.text


async def test_escape_goes_back_one_screen_at_a_time(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await hands.press("escape")
        assert "Which action is the pedal for?" in hands.text
        await hands.press("escape")
        assert "p: press your pedal now" in hands.text
        await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen)


async def test_default_keys_can_be_restored(kept: Kept, chevron: OpenedPiece) -> None:
    changed = DEFAULTS._replace(keys=dict(DEFAULTS.keys) | {"done": ("x",)})
    async with sitting(kept, chevron, settings=changed) as hands:
        await hands.press("question_mark", "p", "d")
        assert "Default keys restored." in hands.text
        await hands.press("escape", "escape", "space", "x")
        assert chevron.held.progress.done == 1
    assert read_settings(places.settings_file()) == DEFAULTS


async def test_default_keys_are_not_taken_from_another_action(kept: Kept, chevron: OpenedPiece) -> None:
    changed = DEFAULTS._replace(keys=dict(DEFAULTS.keys) | {"done": ("x",), "back": ("space",)})
    async with sitting(kept, chevron, settings=changed) as hands:
        await hands.press("question_mark", "p", "d")
        assert "Not changed: space is the key for: undo the last step." in hands.words
        await hands.press("down", "d", "up", "d")
        assert "Default keys restored." in hands.text
    assert read_settings(places.settings_file()) == DEFAULTS


async def test_settings_that_cannot_be_written_do_not_change(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(file: Path, settings: Settings) -> None:
        raise StoreError(f"{file} cannot be written (No space left on device): the settings stay as they were.")

    monkeypatch.setattr("benchmate.settings.write_settings", refuse)
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
        assert "Saved: f9." in hands.words
    assert "f9" in read_settings(places.settings_file()).keys[action]


async def test_a_key_that_another_window_has_given_to_another_action(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await listening(hands)
        await push(hands, "b")
        write_settings(places.settings_file(), DEFAULTS._replace(keys={**DEFAULTS.keys, "jump": ("b",)}))
        await hands.press("y")
        assert "Not changed: b is the key for: go to any row or knot." in hands.words
    assert read_settings(places.settings_file()).keys["jump"] == ("b",)
