"""From the bytes of a terminal to the framework's messages, whatever the bytes are."""

from collections.abc import Callable, Iterable, Iterator

from textual import events
from textual._xterm_parser import XTermParser
from textual.message import Message

from benchmate.bench.terminal.judged_key import HeldKey
from benchmate.bench.terminal.key_stream import ALWAYS, ESCAPE, KeyStream, Typed

MOST = 32
"""The most keys and messages passed on from one read; hands make one or two. More would keep the bench busy."""

PASTED, DIFFERENT = 8, 4
"""From so many characters in one read on, of which so many differ, they are text that was pasted or dropped.

Most terminals mark what is pasted. From one that does not it comes at once, as no hands can type it; a key held down,
or pressed while the machine was busy, comes as the same few characters.
"""


class Keyboard:
    """Reads what a terminal sends. No input makes it raise, and none makes it deaf."""

    def __init__(self, hears_mouse: Callable[[], bool] = lambda: False) -> None:
        """While `hears_mouse` says so, the buttons of the mouse are keys; otherwise they are nothing."""
        self._hears_mouse = hears_mouse
        self._stream = KeyStream()
        self._parser = XTermParser()

    def feed(self, data: bytes, at: float) -> Iterator[Message]:
        """The messages that the bytes read at the time `at` (in seconds) complete."""
        return self._messages(self._stream.feed(data, at))

    def quiet(self, at: float) -> Iterator[Message]:
        """To call when nothing was there to read at the time `at`: the messages of what was still unfinished."""
        return self._messages(self._stream.quiet(at))

    def _messages(self, typed: Iterable[Typed]) -> Iterator[Message]:
        left = MOST
        typed = list(typed)
        signs = [each.sequence for each in typed if len(each.sequence) == 1]
        if len(signs) >= PASTED and len(set(signs)) >= DIFFERENT:
            typed = [each for each in typed if len(each.sequence) > 1 or each.sequence in ALWAYS]
        for each in typed:
            if left or each.sequence in ALWAYS:
                left = max(0, left - 1)
                yield from self._parsed(each)

    def _parsed(self, typed: Typed) -> list[Message]:
        if typed.button:
            return [events.Key(typed.sequence, None)] if self._hears_mouse() else []
        if typed.sequence == ESCAPE:
            # The parser would wait for more.
            return [events.Key("escape", ESCAPE)]
        try:
            found = list(self._parser.feed(typed.sequence))
        except Exception:
            # A sequence the parser fails on must cost that sequence only.
            self._parser = XTermParser()
            return []
        return [_as_typed(message, typed) if isinstance(message, events.Key) else message for message in found]


def _as_typed(key: events.Key, typed: Typed) -> events.Key:
    if typed.alt:
        base = f"shift+{key.key.lower()}" if len(key.key) == 1 and key.key.isupper() else key.key
        return events.Key(f"alt+{base}", key.character)
    return HeldKey(key.key, key.character) if typed.held else key
