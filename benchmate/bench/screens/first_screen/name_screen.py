"""Asks for a piece's name."""

from collections.abc import Sequence

from textual import events

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE, LinesScreen
from benchmate.bench.screens.page import page
from benchmate.bench.terminal.judged_key import Key
from benchmate.choosing.managing import as_name
from benchmate.display.cells import Line, cells_of


class NameScreen(LinesScreen[str | None]):
    """A name, typed after the present one; the result is None when nothing is to change, and may be empty."""

    repeats = ARROWS_AND_BACKSPACE
    types = True

    def __init__(self, bench: Bench, heading: str, name: str, empty: str) -> None:
        """`empty` says what a piece without a name of its own is called."""
        super().__init__(bench)
        self._heading = heading
        self._typed = name
        self._empty = empty

    def lines(self, width: int, height: int) -> list[Line]:
        """The name, and what it is called without one."""
        room = max(1, width - 4)
        # The end of a long name is what is being typed.
        seen = self._typed
        while cells_of(seen) > room:
            seen = seen[1:]
        texts = [f"{seen}_", "" if self._typed else self._empty]
        foot = "enter: keep this name   backspace: shorter   escape: change nothing"
        return page(self._heading, texts, [], foot, width, height, self.palette)

    def heard_first(self) -> Sequence[str]:
        """What is asked, the name, and the keys."""
        return [self._heading.capitalize(), *self.heard(), "enter: keep this name, escape: change nothing"]

    def heard(self) -> Sequence[str]:
        """The name as it is typed."""
        return [self._typed or self._empty]

    def on_key(self, event: Key) -> None:
        """Types, and ends."""
        event.stop()
        if event.key == "escape":
            self.dismiss(None)
        elif event.key == "enter":
            if not event.press.burst:
                self.dismiss(self._typed.strip())
        elif event.key == "backspace":
            self._typed = self._typed[:-1]
        elif event.is_printable and event.character is not None:
            self._type(event.character)
        self.show()

    def on_paste(self, event: events.Paste) -> None:
        """Takes in the first line of what is pasted."""
        event.stop()
        self._type(next(iter(event.text.splitlines()), ""))
        self.show()

    def _type(self, text: str) -> None:
        self._typed = as_name(self._typed + text)
