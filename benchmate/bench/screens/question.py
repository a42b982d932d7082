"""A plain question with a few answers, each by its own key."""

from collections.abc import Callable, Sequence
from typing import Generic, NamedTuple, TypeVar

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.guard import Press
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line

T = TypeVar("T")
Deed = Callable[[], None]
"""What an answer has done."""


class Answer(NamedTuple, Generic[T]):
    """One answer: its key, one letter; what it says; what is handed back for it."""

    key: str
    says: str
    means: T


class Question(LinesScreen[T]):
    """Asks one thing; the result is what the answer means. No other key does anything."""

    def __init__(
        self,
        bench: Bench,
        heading: str,
        texts: Sequence[str],
        answers: Sequence[Answer[T]],
        *,
        escape: str | None = None,
    ) -> None:
        """Escape stands for the key `escape`."""
        super().__init__(bench)
        self._heading = heading
        self._texts = list(texts)
        self._answers = {answer.key: answer for answer in answers}
        self._escape = escape

    def lines(self, width: int, height: int) -> list[Line]:
        """The question and its answers."""
        items = [Item(answer.says, answer.key) for answer in self._answers.values()]
        foot = "press one of: " + "  ".join(self._answers)
        return page(self._heading, self._texts, items, foot, width, height, self.palette)

    def on_key(self, event: Key) -> None:
        """An answer closes the question."""
        event.stop()
        key = self._escape if event.key == "escape" else event.key
        if key in self._answers and self.meant(event.press):
            self.dismiss(self._answers[key].means)

    def meant(self, press: Press) -> bool:
        """Whether the press is taken as an answer."""
        return True


def act(answer: Deed | None) -> None:
    """Does what an answer means."""
    if answer is not None:
        answer()
