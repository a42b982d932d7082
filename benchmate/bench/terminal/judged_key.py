"""Key events: as the terminal reports a key that is held down, and with the guard's judgement."""

from textual import events

from benchmate.actions import key_named
from benchmate.bench.terminal.guard import Press


class HeldKey(events.Key):
    """A key event of a key that, the terminal says, repeats because it is held down."""


class Key(events.Key):
    """A key event as screens get it. It has the name of the framework's own class, so `on_key` handles it."""

    def __init__(self, event: events.Key, press: Press) -> None:
        """`event` came from the terminal; `press` is how the guard judged it."""
        super().__init__(event.key, event.character)
        self.time = event.time
        self.press = press


def name_of(event: events.Key) -> str:
    """The key's name in the settings, found by the character it types where it types one."""
    # A key held with alt has a character too, but is a different key.
    typed = event.character if event.is_printable and "+" not in event.key else None
    return (key_named(typed) if typed and typed != " " else None) or event.key
