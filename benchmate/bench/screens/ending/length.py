"""Makes the band longer or ends it sooner, and first shows what that means."""

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.terminal.guard import Verdict
from benchmate.bench.terminal.judged_key import Key
from benchmate.piece_length import Lengths
from benchmate.piece_opening import UpdatedDesign
from benchmate.piece_questions import length_choices
from benchmate.store.open_piece import OpenPiece

MOST_DIGITS = 6


class LengthScreen(PageScreen[UpdatedDesign]):
    """Asks how long the band is to be. The result is the piece with that length, in which what is tied stays tied."""

    def __init__(self, bench: Bench, held: OpenPiece, lengths: Lengths) -> None:
        super().__init__(bench)
        self._held = held
        self._lengths = lengths
        self._choices = length_choices.choices(lengths)
        # A finished band is to go on; another one stays as it is unless something is chosen.
        self._at = 1 if lengths.row is None else 0
        self._typing = False

    def page(self) -> Page:
        """The choices, and what the chosen one means."""
        items = [Item(choice.words, chosen=at == self._at) for at, choice in enumerate(self._choices)]
        able, meaning = self._meaning()
        foot = "up/down   " + ("left/right, digits   " if self._choices[self._at].open else "")
        foot += "enter: take it   escape: change nothing" if able else "escape: change nothing"
        return Page("HOW LONG", meaning, items, foot)

    def _meaning(self) -> tuple[bool, list[str]]:
        """Whether the chosen length can be taken, and what it means."""
        return length_choices.meaning(self._held, self._lengths, self._choices[self._at])

    def on_key(self, event: Key) -> None:
        """Up and down choose, digits and left and right change the number, enter takes it."""
        event.stop()
        if event.key in ("escape", "q"):
            self.dismiss(None)
        elif event.key == "enter":
            if event.press.verdict is Verdict.COUNTS:
                self._take()
        elif event.key in ("up", "down"):
            self._at = min(max(0, self._at + (1 if event.key == "down" else -1)), len(self._choices) - 1)
            self._typing = False
        elif self._choices[self._at].open:
            self._change_number(event.key)
        self.show()

    def _take(self) -> None:
        length = self._choices[self._at].length(self._lengths)
        if self._choices[self._at].no_finish:
            self.dismiss(self._lengths.without_finish())
        elif length == self._lengths.now:
            self.dismiss(None)
        elif self._meaning()[0]:
            self.dismiss(self._lengths.changed(length))

    def _change_number(self, key: str) -> None:
        choice = self._choices[self._at]
        number = choice.number
        if key in ("left", "right"):
            number, self._typing = max(1, number + (1 if key == "right" else -1)), False
        elif len(key) == 1 and key.isascii() and key.isdigit():
            number, self._typing = int(f"{number if self._typing else ''}{key}"[:MOST_DIGITS]), True
        elif key == "backspace":
            number, self._typing = number // 10, True
        self._choices[self._at] = choice._replace(number=number)
