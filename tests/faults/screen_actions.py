"""Every action of the full screen that saves something: the keys, what it changes, and what shows that it is saved."""

from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from typing import NamedTuple

import yaml

from benchmate import actions
from benchmate.settings import DEFAULTS, as_text
from tests.faults.homes import Now
from tests.running import count
from tests.terminal import Terminal

Seen = Callable[[Terminal], bool]
"""Tells whether the screen shows something."""
GAP = 0.16
"""Seconds between two presses of one key that both count."""


class State(NamedTuple):
    """Everything saved: the piece, and the settings as their file holds them (None without a file)."""

    piece: Now
    settings: dict[str, object] | None


class Action(NamedTuple):
    """One change as a person makes it: keys in groups, each group pressed once the screen shows what comes before it.

    `last` is the key that makes the change, pressed after the last group; `saved` then shows that it is saved.
    """

    name: str
    groups: Sequence[tuple[Seen, Sequence[str]]]
    last: str
    after: State
    saved: Seen


def text(words: str) -> Seen:
    """Whether these words stand on one line."""
    return lambda terminal: any(words in line for line in terminal.lines)


def at(done: int) -> Seen:
    """Whether the bench shows this count."""

    def shows(terminal: Terminal) -> bool:
        found = count(terminal)
        return found is not None and found[0] == done

    return shows


def read_settings(home: Path) -> dict[str, object] | None:
    """The settings file as a YAML reader of its own kind reads it; None where there is none."""
    file = home / "settings.yaml"
    if not file.exists():
        return None
    found = yaml.safe_load(file.read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    keys = found.get("keys") or {}
    whole = isinstance(keys, dict) and set(keys) == {action.name for action in actions.ACTIONS}
    assert whole, f"the settings are not whole: {found}"
    assert set(found) == set(yaml.safe_load(as_text(DEFAULTS))), f"the settings are not whole: {found}"
    return found


def _one_key(name: str, key: str, state: State, done: int) -> Action:
    after = state._replace(piece=state.piece._replace(done=done))
    return Action(name, [(at(state.piece.done), ())], key, after, at(done))


def finish_step(chance: Random, state: State, design: Path) -> Action:
    """The step is done."""
    return _one_key("done", chance.choice(["space", "enter", "right"]), state, state.piece.done + 1)


def back(chance: Random, state: State, design: Path) -> Action:
    """The last step is undone."""
    return _one_key("back", chance.choice(["backspace", "left"]), state, state.piece.done - 1)


def wrong_knot(chance: Random, state: State, design: Path) -> Action:
    """A knot is marked wrong."""
    walk = ["left"] * chance.randint(0, min(6, state.piece.done - 1))
    after = state._replace(piece=state.piece._replace(wrong=True))
    groups = [(at(state.piece.done), ("u",)), (text("Which is wrong?"), walk)]
    return Action("wrong knot", groups, "enter", after, text(" to undo"))


def out_of_turn(chance: Random, state: State, design: Path) -> Action:
    """Another knot than the next is tied."""
    done = state.piece.done
    after = state._replace(piece=state.piece._replace(done=done + 1))
    groups = [(at(done), ("o",)), (text("enter: this one"), ["down"] * chance.randint(0, 2))]
    return Action("out of turn", groups, "enter", after, at(done + 1))


def jump(chance: Random, state: State, design: Path) -> Action:
    """The piece goes to another knot."""
    done = state.piece.done
    to = chance.choice([number for number in range(1, 90) if number != done])
    after = state._replace(piece=state.piece._replace(done=to))
    groups = [(at(done), ("j",)), (text("escape: stay"), ("k", *str(to + 1)))]
    return Action("jump", groups, "enter", after, at(to))


def way(chance: Random, state: State, design: Path) -> Action:
    """The rest is worked by rows or by segments, from the left or the right."""
    piece = state.piece
    if chance.random() < 0.6:
        by = "rows" if piece.by == "segments" else "segments"
        key, after, said = by[0], piece._replace(by=by), f"Working by {by}"
    else:
        side = not piece.from_right
        key, after, said = "h", piece._replace(from_right=side), ", from the right." if side else ", from the left."
    groups = [(at(piece.done), ("w",)), (text("c  continue as it is"), ())]
    return Action("way", groups, key, state._replace(piece=after), text(said))


def key_setting(chance: Random, state: State, design: Path) -> Action:
    """An action gets one more key."""
    down = chance.randint(0, 9)
    key = chance.choice("xzfghi0123456789")
    after = state._replace(settings={"new key": key})
    groups = [
        (at(state.piece.done), ("?",)),
        (text("p: press your pedal now"), ("p",)),
        (text("Which action is the pedal for?"), ["down"] * down),
        (text("Which action is the pedal for?"), ("enter",)),
        (text("escape: back"), (key,)),
        (text("y  yes"), ()),
    ]
    return Action("keys", groups, "y", after, text("Saved: "))


def voice_setting(chance: Random, state: State, design: Path) -> Action:
    """The voice gets another rate or loudness."""
    down, key, name, value = chance.choice(
        [(1, "right", "rate", 160), (1, "left", "rate", 140), (2, "left", "volume", 90), (5, "right", "tick", True)]
    )
    said = {"rate": f"words a minute: {value}", "volume": f"loudness: {value}", "tick": "with one string: on"}[name]
    after = state._replace(settings={name: value})
    groups = [(at(state.piece.done), ("s",)), (text("enter: hear it"), ["down"] * down)]
    return Action("voice settings", groups, key, after, text(said))


def changed_design(chance: Random, state: State, design: Path) -> Action:
    """The piece goes on with its changed design file, which is changed here."""
    with design.open("a", encoding="utf-8") as file:
        file.write("# another line\n")
    after = state._replace(piece=state.piece._replace(changed=False))
    groups = [(at(state.piece.done), ("c",)), (text("press one of: c"), ())]
    return Action("changed design", groups, "d", after, at(state.piece.done))


def another_length(chance: Random, state: State, design: Path) -> Action:
    """The band becomes longer or ends sooner; what is tied stays tied."""
    repeat = f"Now {state.piece.done // 10 + 1} repeat"
    down, said = chance.choice([(1, "Now 61 repeats"), (2, "Now 241 rows"), (3, repeat)])
    groups = [(at(state.piece.done), ("e",)), (text("as it is: "), ["down"] * down)]
    return Action("length", groups, "enter", state, text(said))


ACTIONS = (
    *(finish_step, back, wrong_knot, out_of_turn, jump, way, key_setting, voice_setting, changed_design),
    another_length,
)
"""What makes an action, for a state the piece is in."""


def press(terminal: Terminal, action: Action) -> None:
    """Presses all keys but the last, each group once its screen is there."""
    for shown, keys in action.groups:
        terminal.wait_until(shown, what=f"the screen before {keys or action.last}")
        for key in keys:
            terminal.press(key, gap=GAP)
    # The last key must not be taken for a repeat of the same one, or for part of a burst.
    terminal.pump(GAP)
