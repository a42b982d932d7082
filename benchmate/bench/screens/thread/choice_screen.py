"""A list of lines of which one is chosen, all in one page."""

from collections.abc import Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.terminal.judged_key import Key

MOVES = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8, "home": -1_000_000, "end": 1_000_000}
"""How far each key moves."""


class ChoiceScreen(PageScreen[int]):
    """Asks for one of some choices; the result is its place, from 0, or None. Lines below them are only to read."""

    def __init__(
        self,
        bench: Bench,
        heading: str,
        texts: Sequence[str],
        choices: Sequence[str],
        *,
        at: int = 0,
        to_read: Sequence[str] = (),
        escape: str = "back",
    ) -> None:
        """`at` is the place that is chosen at first, `escape` what the escape key does, in words."""
        super().__init__(bench)
        self._heading = heading
        self._texts = texts
        self._choices = choices
        self._to_read = to_read
        self._at = at
        self._escape = escape

    def page(self) -> Page:
        """The choices, then the lines to read."""
        shown = [*self._choices, *self._to_read]
        items = [Item(text, chosen=at == self._at) for at, text in enumerate(shown)]
        take = "enter: this one   " if self._at < len(self._choices) else ""
        return Page(self._heading, self._texts, items, f"up/down   {take}escape: {self._escape}")

    def on_key(self, event: Key) -> None:
        """Moves, takes and leaves."""
        event.stop()
        if event.key in ("escape", "q"):
            self.dismiss(None)
        elif event.key in ("enter", "space"):
            if self._at < len(self._choices):
                self.dismiss(self._at)
        elif event.key in MOVES:
            last = len(self._choices) + len(self._to_read) - 1
            self._at = min(max(0, self._at + MOVES[event.key]), last)
        self.show()
