"""A plain question with a few answers, each by its own key."""

from collections.abc import Sequence

from textual import events

from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.board import LinesScreen
from benchmate.display.cells import Line


class Question(LinesScreen):
    """Asks one thing; the result is the key of the answer. No other key does anything."""

    def __init__(
        self, heading: str, texts: Sequence[str], answers: Sequence[tuple[str, str]], *, escape: str | None = None
    ) -> None:
        """`answers` are pairs of a key, one letter each, and what it means; escape stands for the key `escape`."""
        super().__init__()
        self._heading = heading
        self._texts = list(texts)
        self._answers = dict(answers)
        self._escape = escape

    def lines(self, width: int, height: int) -> list[Line]:
        """The question and its answers."""
        items = [Item(says, key) for key, says in self._answers.items()]
        foot = "press one of: " + "  ".join(self._answers)
        return page(self._heading, self._texts, items, foot, width, height, self.palette)

    def on_key(self, event: events.Key) -> None:
        """An answer closes the question."""
        event.stop()
        key = self._escape if event.key == "escape" else event.key
        if key in self._answers and self.meant(event):
            self.dismiss(key)

    def meant(self, event: events.Key) -> bool:
        """Whether the key event is taken as an answer."""
        return True
