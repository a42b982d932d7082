"""The actions of the step screen, their default keys, and the names of keys."""

from typing import NamedTuple


class Action(NamedTuple):
    """Something a key does on the step screen: its name in the settings, what it does, its default keys."""

    name: str
    says: str
    keys: tuple[str, ...]
    yields: bool = False
    """A newer action: where a person's settings already give its key to another action, it goes without."""


ACTIONS = (
    Action("done", "this step is done, show the next", ("space", "enter", "right", "pagedown")),
    Action("back", "undo the last step", ("left", "backspace", "pageup")),
    Action("lay_out", "cut and lay out, before the first knot", ("l",), yields=True),
    Action("wrong", "fix a wrong knot", ("u",)),
    Action("voice", "voice on or off", ("v",), yields=True),
    Action("again", "repeat the instruction, in words", ("r",)),
    Action("sound", "voice: how it sounds, how much it says", ("s",), yields=True),
    Action("beat", "pace mode: hands-free timer", ("p",), yields=True),
    Action("faster", "pace mode: less time for a knot", ("minus",), yields=True),
    Action("slower", "pace mode: more time for a knot", ("plus", "equals_sign"), yields=True),
    Action("jump", "go to any row or knot", ("j",)),
    Action("press", "one press counts a knot, a run or a row", ("m",)),
    Action("length", "make the band longer, or end it sooner", ("e",), yields=True),
    Action("way", "way of working: rows, segments, mirror", ("w",), yields=True),
    Action("other", "I tied a different knot", ("o",), yields=True),
    Action("design", "review changes to the design file", ("c",)),
    Action("keep", "keep the wrong knot / cancel the search", ("escape",)),
    Action("take", "take over a piece open in another window", ("t",)),
    Action("light", "dark or light", ("d",)),
    Action("keys", "all keys, help, your pedal", ("question_mark",)),
    Action("leave", "leave; everything is saved", ("q",)),
)
"""Every action of the step screen. The key bindings, the list of keys and the settings all read this."""

NAMED_KEYS = (
    "space", "enter", "tab", "escape", "backspace", "delete", "insert", "home", "end",
    "left", "right", "up", "down", "pageup", "pagedown", *(f"f{number}" for number in range(1, 13)),
    "mouseleft", "mouseright",
)  # fmt: skip
"""Keys that have a name. The others are called by the character they type."""
MOUSE = ("mouseleft", "mouseright")
"""The buttons of a mouse that can be keys, wherever its pointer is and whatever key is held with them."""
SIGNS = {"?": "question_mark", "!": "exclamation_mark", ".": "full_stop", ",": "comma", "-": "minus", "+": "plus",
         "/": "slash", "\\": "backslash", "*": "asterisk", "=": "equals_sign", ";": "semicolon", ":": "colon",
         "#": "number_sign", "'": "apostrophe", "<": "less_than_sign", ">": "greater_than_sign"}  # fmt: skip
"""The framework's names for some characters."""

RESERVED = ("ctrl+c", "ctrl+q", "ctrl+z")
"""Keys that leave or stop any program in a terminal."""

_WITH_SPACES = {"pageup": "page up", "pagedown": "page down", "mouseleft": "mouse left", "mouseright": "mouse right"}


def key_named(text: str) -> str | None:
    """The key a person means by `page down`, `?` or `ctrl+x`; None for an unknown name."""
    # The key + itself may follow a joining +.
    text = text[:-1] + SIGNS["+"] if text.endswith("++") else text
    *held, last = text.split("+") if len(text) > 1 else [text]
    if any(part not in ("ctrl", "shift", "alt") for part in held):
        return None
    if len(last) == 1:
        base = SIGNS.get(last, last) if last.isprintable() and last != " " else None
    else:
        base = last.replace(" ", "").lower()
        base = base if base in NAMED_KEYS or base in SIGNS.values() else None
    if base is None or (base in MOUSE and held):
        return None
    return "+".join([*held, base])


def shown_key(key: str) -> str:
    """The key as a person would call it: `page down`, `mouse left`, `?`."""
    *held, last = key.split("+")
    signs = {name: sign for sign, name in SIGNS.items()}
    last = signs.get(last, _WITH_SPACES.get(last, last))
    return "+".join([*held, last])
