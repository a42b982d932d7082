"""Thread, from the first screen: shows a screen for each question about it."""

from collections.abc import Callable

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.first_screen.name_screen import NameScreen
from benchmate.bench.screens.thread.box_screen import BoxScreen
from benchmate.bench.screens.thread.choice_screen import ChoiceScreen
from benchmate.bench.screens.thread.number_screen import NumberScreen
from benchmate.bench.screens.thread.opening_screens import Asking
from benchmate.piece_questions.thread.dialogue import (
    Answer,
    Choose,
    Name,
    Number,
    OpenBox,
    OpenQuestion,
    Question,
    after_sayings,
)
from benchmate.piece_questions.thread.thread_questions import ThreadQuestions
from benchmate.piece_questions.typed_numbers import Typed, Wish
from benchmate.store.database import Database
from benchmate.store.errors import StoreError

KEYS = {Wish.SKIP: "escape", Wish.BACK: "up", Wish.LEAVE: "tab"}
"""The keys of what else can be wished where a number is asked for."""


class ThreadMenu:
    """Leads through the screens about thread, and back to the first screen."""

    def __init__(self, bench: Bench, asks: Asking, database: Database, closed: Callable[[], None]) -> None:
        """`closed` is called when the person is back on the first screen."""
        self._bench = bench
        self._asks = asks
        self._closed = closed
        self._dialogue = ThreadQuestions(database, bench.settings.units).lead()

    def open(self) -> None:
        """Shows what there is."""
        self._answer(None)

    def _answer(self, answer: Answer) -> None:
        self._next(lambda: self._dialogue.send(answer))

    def _next(self, asked: Callable[[], Question]) -> None:
        """Shows the next question; what was said before it stands there too."""
        try:
            says, question = after_sayings(self._dialogue, asked())
        except StopIteration:
            self._closed()
        else:
            self._show(question, says)

    def _show(self, question: OpenQuestion, says: str) -> None:
        bench = self._bench
        if isinstance(question, Choose):
            heading, text, choices, to_read, at, leaves = question
            texts = [each for each in (says, text) if each]
            self._asks(
                ChoiceScreen(bench, heading, texts, choices, at=at, to_read=to_read, escape=leaves), self._answer
            )
        elif isinstance(question, Number):
            keys = {KEYS[wish]: wish for wish in question.wishes}
            screen = NumberScreen(bench, question.asked, question.typed, keys, question.wishes)
            self._asks(screen, lambda typed: self._answer(typed or Typed(Wish.LEAVE)))
        elif isinstance(question, Name):
            self._asks(NameScreen(bench, question.heading, question.typed, says or question.question), self._answer)
        else:
            self._open_box(question)

    def _open_box(self, question: OpenBox) -> None:
        try:
            screen = BoxScreen(self._bench, question.box, question.kinds)
        except StoreError as error:
            unreadable = error
            self._next(lambda: self._dialogue.throw(unreadable))
        else:
            self._asks(screen, self._answer)
