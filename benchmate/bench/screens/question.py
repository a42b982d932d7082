"""A question with a few answers, each with its own key."""

from collections.abc import Callable, Sequence
from typing import Generic, NamedTuple, TypeVar

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.terminal.guard import Press
from benchmate.bench.terminal.judged_key import Key

T = TypeVar("T")
Callback = Callable[[], None]
"""What an answer does."""


CONTINUE, NEW, LEAVE, LOOK_ON, TAKE_OVER = "c", "n", "q", "l", "t"
"""The keys of answers that several questions have: the same answer has the same key everywhere."""


class Answer(NamedTuple, Generic[T]):
    """One answer: its key (one letter), its text, and the result it stands for."""

    key: str
    says: str
    means: T


class Question(PageScreen[T]):
    """Asks one thing; the result is what the answer means. Other keys do nothing."""

    def __init__(
        self,
        bench: Bench,
        heading: str,
        texts: Sequence[str],
        answers: Sequence[Answer[T]],
        *,
        escape: str | None = None,
    ) -> None:
        """`escape` is the answer that the escape key gives, if any."""
        super().__init__(bench)
        self._heading = heading
        self._texts = list(texts)
        self._answers = {answer.key: answer for answer in answers}
        self._escape = escape

    def page(self) -> Page:
        """The question and its answers."""
        items = [Item(answer.says, answer.key) for answer in self._answers.values()]
        foot = "press one of: " + "  ".join(self._answers)
        return Page(self._heading, self._texts, items, foot)

    def on_key(self, event: Key) -> None:
        """Closes the question when the key is an answer."""
        event.stop()
        key = self._escape if event.key == "escape" else event.key
        if key in self._answers and self.meant(event.press):
            self.dismiss(self._answers[key].means)

    def meant(self, press: Press) -> bool:
        """Whether the press counts as an answer."""
        return True


def act(answer: Callback | None) -> None:
    """Does what the answer stands for."""
    if answer is not None:
        answer()
