"""A key event that brings along what the guard makes of it."""

from textual import events

from benchmate.actions import key_named
from benchmate.bench.terminal.guard import Press


class Key(events.Key):
    """A key event as screens get it. Called like the framework's own, it is handled by `on_key` as that is."""

    def __init__(self, event: events.Key, press: Press) -> None:
        """`event` came from the terminal; `press` is it as it was judged."""
        super().__init__(event.key, event.character)
        self.time = event.time
        self.press = press


def name_of(event: events.Key) -> str:
    """The key as the settings call it: many a sign goes by a name with the framework."""
    # A key held with alt brings its sign along too, but is another key.
    typed = event.character if event.is_printable and "+" not in event.key else None
    return (key_named(typed) if typed and typed != " " else None) or event.key
