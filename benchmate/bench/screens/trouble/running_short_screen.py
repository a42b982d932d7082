"""Which strings last, and what to do about one that runs short."""

from collections.abc import Callable

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.screens.thread.choice_screen import MOVES
from benchmate.bench.screens.thread.number_screen import NumberScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.piece_questions.thread.dialogue import Answer, Choose, Number, OpenQuestion, Question, after_sayings
from benchmate.piece_questions.trouble import running_short
from benchmate.piece_questions.typed_numbers import Typed, Wish
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver

DIGITS = tuple("0123456789")
"""The keys that begin a number."""
TAKEN_OVER = "Another window has taken over this piece; nothing was kept."


class RunningShortScreen(PageScreen[str]):
    """Leads through the questions about a string that runs short; the result is what to say on the step screen.

    Questions with choices are shown here, each in the place of the one before; a number is asked for on a screen over
    this one.
    """

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` is any piece; where nothing can be said of its strings, the screen says so."""
        super().__init__(bench)
        self._dialogue = running_short.ask(held, bench.settings.units)
        self._asks = Choose("", "", [])
        self._at = 0
        self._says = self._begun = ""
        self._result: str | None = None
        self._next(lambda: next(self._dialogue))

    def page(self) -> Page:
        """The question asked now."""
        heading, question, choices, to_read, _, leaves = self._asks
        items = [Item(text, chosen=at == self._at) for at, text in enumerate([*choices, *to_read])]
        take = "up/down   enter: this one   " if choices else ""
        texts = [text for text in (self._says, question) if text]
        return Page(heading, texts, items, f"{take}escape: {leaves}")

    @property
    def asked(self) -> object:
        """The question."""
        return self._asks

    def on_mount(self) -> None:
        """Leaves where there was nothing to ask."""
        if self._result is not None:
            self.dismiss(self._result)

    def on_key(self, event: Key) -> None:
        """Moves, takes and goes back."""
        event.stop()
        last = len(self._asks.choices) + len(self._asks.to_read) - 1
        if event.key in ("escape", "q"):
            self._answer(None)
        elif event.key in ("enter", "space"):
            if 0 <= self._at < len(self._asks.choices):
                self._answer(self._at)
        elif running_short.MEASURED in self._asks.choices and (event.character or "") in DIGITS:
            self._begun = event.character or ""
            self._answer(self._asks.choices.index(running_short.MEASURED))
            self._begun = ""
        elif event.key in MOVES:
            self._at = max(0, min(self._at + MOVES[event.key], last))
        self.show()

    def _answer(self, answer: Answer) -> None:
        self._says = ""
        self._next(lambda: self._dialogue.send(answer))
        if self._result is not None:
            self.dismiss(self._result)

    def _next(self, asked: Callable[[], Question]) -> None:
        """Takes the next question, or the result."""
        try:
            self._says, question = after_sayings(self._dialogue, asked())
        except StopIteration as end:
            self._result = str(end.value)
        except TakenOver:
            self._result = TAKEN_OVER
        except StoreError as error:
            self._result = str(error)
        else:
            self._show(question)

    def _show(self, question: OpenQuestion) -> None:
        if isinstance(question, Number):
            keys = {"escape": Wish.SKIP}
            asked = question.asked._replace(texts=[*filter(None, [self._says]), *question.asked.texts])
            screen = NumberScreen(self.bench, asked, question.typed, keys, question.wishes, begun=self._begun)
            self.app.push_screen(screen, lambda typed: self._answered(typed or Typed(Wish.LEAVE)))
        else:
            assert isinstance(question, Choose)
            self._asks, self._at = question, question.at

    def _answered(self, typed: Typed) -> None:
        self._answer(typed)
        self.show()
