"""What can be done on the step screen, the keys that do it, and how keys are called."""

from typing import NamedTuple


class Action(NamedTuple):
    """Something a key does on the step screen: its name in the settings, what it does in words, its keys at first."""

    name: str
    says: str
    keys: tuple[str, ...]
    yields: bool = False
    """It came later: where a maker's file has given its key to something else before, it does without."""


ACTIONS = (
    Action("done", "this step is done: go on", ("space", "enter", "right", "pagedown")),
    Action("back", "back up one step: it has come undone", ("left", "backspace", "pageup")),
    Action("wrong", "a knot is wrong: be led back to it", ("u",)),
    Action("voice", "voice on or off", ("v",), yields=True),
    Action("again", "say the prompt again, in words", ("r",)),
    Action("sound", "how the voice sounds, and how much it says", ("s",), yields=True),
    Action("beat", "pace mode: a knot every so many seconds, hands free", ("p",), yields=True),
    Action("faster", "in pace mode, less time for a knot", ("minus",), yields=True),
    Action("slower", "in pace mode, more time for a knot", ("plus", "equals_sign"), yields=True),
    Action("jump", "go to any row or knot", ("j",)),
    Action("press", "one press means a knot, the rest of the run, or the rest of the row", ("m",)),
    Action("way", "way of working: rows or segments, from which side, mirrored", ("w",), yields=True),
    Action("other", "another knot is done, out of turn", ("o",), yields=True),
    Action("design", "what has changed in the design's file, and the choice", ("c",)),
    Action("keep", "leave a knot marked wrong as it is; stop looking for an order", ("escape",)),
    Action("take", "take a piece over from another window", ("t",)),
    Action("light", "dark or light", ("d",)),
    Action("keys", "all keys", ("question_mark",)),
    Action("leave", "leave: everything is saved", ("q",)),
)
"""Every action on the step screen. The bindings, the list of keys and the settings all read this."""

NAMED_KEYS = (
    "space", "enter", "tab", "escape", "backspace", "delete", "insert", "home", "end",
    "left", "right", "up", "down", "pageup", "pagedown", *(f"f{number}" for number in range(1, 13)),
)  # fmt: skip
"""Keys that go by a name. Others go by the sign they type."""
SIGNS = {"?": "question_mark", "!": "exclamation_mark", ".": "full_stop", ",": "comma", "-": "minus", "+": "plus",
         "/": "slash", "\\": "backslash", "*": "asterisk", "=": "equals_sign", ";": "semicolon", ":": "colon",
         "#": "number_sign", "'": "apostrophe", "<": "less_than_sign", ">": "greater_than_sign"}  # fmt: skip
"""The framework's names of the signs that have one."""

RESERVED = ("ctrl+c", "ctrl+q", "ctrl+z")
"""Keys that leave or stop every program of a terminal, this one too."""


def key_named(text: str) -> str | None:
    """The key a person means by `page down`, `?` or `ctrl+x`; None when there is no such key."""
    # The sign + itself may follow the + that joins.
    text = text[:-1] + SIGNS["+"] if text.endswith("++") else text
    *held, last = text.split("+") if len(text) > 1 else [text]
    if any(part not in ("ctrl", "shift", "alt") for part in held):
        return None
    if len(last) == 1:
        base = SIGNS.get(last, last) if last.isprintable() and last != " " else None
    else:
        base = last.replace(" ", "").lower()
        base = base if base in NAMED_KEYS or base in SIGNS.values() else None
    return None if base is None else "+".join([*held, base])


def shown_key(key: str) -> str:
    """The key as a person would call it: `page down`, `?`."""
    *held, last = key.split("+")
    signs = {name: sign for sign, name in SIGNS.items()}
    last = signs.get(last, last.replace("pageup", "page up").replace("pagedown", "page down"))
    return "+".join([*held, last])
