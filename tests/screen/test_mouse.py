"""A mouse pressed by foot: two buttons that are keys, off until one is chosen; the terminal is as it was afterwards."""

import re
import signal
from pathlib import Path

import pytest

from benchmate.actions import ACTIONS, key_named, shown_key
from benchmate.bench.screens import keys as keys_screen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS, read_settings, write_settings
from benchmate.store import places
from tests.running import bench, wait_for_count
from tests.screen.benches import CHEVRON, written_to
from tests.screen.hands import sitting
from tests.screen.test_in_a_terminal import stopped
from tests.screen.test_killed_bench import ended, restorer_of
from tests.terminal import Terminal

LEFT, RIGHT = b"\x1b[<0;12;5M\x1b[<0;12;5m", b"\x1b[<2;70;23M\x1b[<2;70;23m"
APART = 0.7
"""Seconds between two clicks that are two."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A design of 30 knots."""
    return written_to(tmp_path, CHEVRON)


def asked_for(terminal: Terminal) -> set[bytes]:
    """The mouse modes that the terminal is in now."""
    last = dict(re.findall(rb"\x1b\[\?(\d+)([hl])", bytes(terminal.raw)))
    return {mode for mode in (b"1000", b"1002", b"1003", b"1006", b"1015", b"1016") if last.get(mode) == b"h"}


ON = {b"1000", b"1006"}
"""Buttons alone, in the form without an end of columns: no motion, no drag."""


def with_mouse(home: Path, **chosen: str) -> None:
    """Writes settings in which these actions have a button of the mouse too."""
    keys = {name: (*own, chosen[name]) if name in chosen else own for name, own in DEFAULTS.keys.items()}
    write_settings(home / "settings.yaml", DEFAULTS._replace(keys=keys))


def test_the_names_of_the_buttons() -> None:
    for written, key in (("mouse left", "mouseleft"), ("Mouse Right", "mouseright"), ("mouseleft", "mouseleft")):
        assert key_named(written) == key
    assert shown_key("mouseleft") == "mouse left"
    assert key_named("ctrl+mouse left") is None
    assert key_named("mouse middle") is None
    assert not any("mouse" in key for action in ACTIONS for key in action.keys)


def test_off_until_chosen(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        assert asked_for(terminal) == set()
        terminal.send(LEFT + RIGHT)
        terminal.pump(0.3)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.press("q")
        assert terminal.exit_code == 0
        assert b"1000h" not in terminal.raw


def test_chosen_on_the_pedal_screen_and_remembered(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("?", "p", gap=0.2)
        terminal.wait_for("Which action is the pedal for?")
        assert asked_for(terminal) == set()
        terminal.press("enter")
        terminal.wait_until(lambda _: asked_for(terminal) == ON, what="reports of the mouse")
        terminal.send(LEFT)
        terminal.wait_for("The pedal sends mouse left.")
        terminal.press("n", gap=0.2)
        terminal.press("escape")
        terminal.wait_until(lambda _: asked_for(terminal) == set(), what="the mouse left alone")
        terminal.press("enter", gap=0.2)
        terminal.send(LEFT)
        terminal.wait_for("The pedal sends mouse left.")
        terminal.press("y")
        terminal.wait_for("Saved: mouse left.")
        terminal.press("escape", gap=0.2)
        terminal.press("escape", gap=0.2)
        wait_for_count(terminal, 0)
        terminal.send(LEFT)
        wait_for_count(terminal, 1)
        terminal.press("q")
        assert terminal.exit_code == 0
        assert asked_for(terminal) == set()
    with bench(file, home) as terminal:
        wait_for_count(terminal, 1)
        assert asked_for(terminal) == ON
        # A double click, wherever; the wheel, the middle button, a drag; and one with every byte on its own.
        terminal.send(LEFT)
        terminal.pump(0.15)
        terminal.send(LEFT)
        wait_for_count(terminal, 2)
        terminal.pump(APART)
        terminal.send(b"\x1b[<64;1;1M\x1b[<65;1;1M\x1b[<1;1;1M\x1b[<32;2;2M" + RIGHT)
        terminal.pump(0.2)
        for each in LEFT.replace(b"12;5", b"300;99"):
            terminal.send(bytes([each]))
            terminal.pump(0.005)
        wait_for_count(terminal, 3)
        terminal.press("q")
        assert terminal.exit_code == 0


def test_the_other_button_another_action(file: Path, home: Path) -> None:
    with_mouse(home, done="mouseleft", back="mouseright")
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.send(LEFT)
        wait_for_count(terminal, 1)
        terminal.send(RIGHT)
        wait_for_count(terminal, 0)
        terminal.pump(APART)
        terminal.send(LEFT)
        wait_for_count(terminal, 1)
        # Held down, a button is one press; a paste with clicks in it is none.
        terminal.pump(APART)
        terminal.send(b"\x1b[200~" + LEFT + b"\x1b[201~")
        terminal.send(b"\x1b[<2;1;1M")
        wait_for_count(terminal, 0)
        terminal.pump(APART)
        terminal.send(b"\x1b[<2;1;1m")
        terminal.press("space")
        wait_for_count(terminal, 1)


@pytest.mark.parametrize("how", ["ctrl+c", "SIGKILL"])
def test_however_it_ends_the_mouse_is_the_terminals_own(file: Path, home: Path, how: str) -> None:
    with_mouse(home, done="mouseleft")
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        restorer = restorer_of(terminal, terminal.pid)
        assert asked_for(terminal) == ON
        if how == "ctrl+c":
            terminal.press(how)
        else:
            terminal.signal(signal.Signals[how])
        terminal.wait()
        ended(terminal, restorer)
        terminal.settle()
        assert asked_for(terminal) == set()


def test_stopped_and_continued(file: Path, home: Path) -> None:
    with_mouse(home, done="mouseleft")
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("ctrl+z")
        terminal.wait_until(lambda terminal: stopped(terminal.pid), what="a stopped program")
        terminal.settle()
        assert asked_for(terminal) == set()
        terminal.signal(signal.SIGCONT)
        terminal.wait_until(lambda _: asked_for(terminal) == ON, what="reports of the mouse again")
        terminal.settle(quiet=0.5)
        terminal.send(LEFT)
        wait_for_count(terminal, 1)
        terminal.press("q")
        assert terminal.exit_code == 0


# The pedal screen


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Shortens the wait for a push."""
    monkeypatch.setattr(keys_screen, "TOGETHER", 0.02)


async def test_a_double_click_is_one_key(kept: Kept, chevron: OpenedPiece, quick: None) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("question_mark", "p", "enter")
        assert "the left or right button of a mouse" in hands.words
        hands.send("mouseright", 0.3)
        hands.send("mouseright", 0.01)
        await hands.wait_for(lambda: "The pedal sends mouse right." in hands.text)
        assert "A double click counts once." in hands.words
        await hands.press("y")
        assert "Saved: mouse right." in hands.words
        assert "page down, mouse right" in hands.words
        await hands.press("escape", "escape")
        await hands.press("mouseright", gap=1)
        await hands.press("mouseright", gap=0.2)
        await hands.press("mouseleft", gap=1)
        assert chevron.held.progress.done == 1
    assert read_settings(places.settings_file()).keys["done"][-1] == "mouseright"


async def test_the_mouse_is_taken_away_again(kept: Kept, chevron: OpenedPiece) -> None:
    keys = {**DEFAULTS.keys, "done": ("space", "mouseleft"), "leave": ("mouseright",)}
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        await hands.press("question_mark", "p")
        assert "m: no mouse" in hands.words
        await hands.press("m")
        assert "Not changed: nothing else leaves." in hands.words
        write_settings(places.settings_file(), DEFAULTS._replace(keys={**keys, "leave": ("q", "mouseright")}))
        await hands.press("m")
        assert "No action has a mouse button now." in hands.words
        assert "m: no mouse" not in hands.words
        await hands.press("m", "escape", "escape")
        assert isinstance(hands.app.screen, StepScreen)
        await hands.press("mouseleft", gap=1)
        assert chevron.held.progress.done == 0
    assert not any("mouse" in key for keys in read_settings(places.settings_file()).keys.values() for key in keys)


async def test_a_click_on_any_other_screen_is_nothing(kept: Kept, chevron: OpenedPiece) -> None:
    keys = {**DEFAULTS.keys, "done": ("space", "mouseleft")}
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        for key in ("question_mark", "j", "e", "o", "w", "s"):
            await hands.press(key)
            before = hands.text
            await hands.press("mouseleft", "mouseright", gap=1)
            assert hands.text == before
            await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen)
        assert chevron.held.progress.done == 0
