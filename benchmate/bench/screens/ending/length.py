"""Makes the band longer or ends it sooner, and first shows what that means."""

from typing import NamedTuple

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.guard import Verdict
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.wording.counting import counted
from benchmate.display.cells import Line
from benchmate.piece_length import Length, Lengths, NoSuchLength
from benchmate.piece_opening import UpdatedDesign
from benchmate.store.open_piece import OpenPiece

MOST_DIGITS = 6
_MORE = ("more", "fewer")


class Choice(NamedTuple):
    """A line of the list: its words with the number left open, the number, and whether that can be changed.

    `of_rows` is true where the number counts rows, not repeats; `no_finish` where the finish goes, not the length.
    """

    says: str
    number: int
    of_rows: bool
    open: bool = False
    no_finish: bool = False


class LengthScreen(LinesScreen[UpdatedDesign]):
    """Asks how long the band is to be. The result is the piece with that length, in which what is tied stays tied."""

    def __init__(self, bench: Bench, held: OpenPiece, lengths: Lengths) -> None:
        super().__init__(bench)
        self._held = held
        self._lengths = lengths
        self._choices = _choices(lengths)
        # A finished band is to go on; another one stays as it is unless something is chosen.
        self._at = 1 if lengths.row is None else 0
        self._typing = False

    def lines(self, width: int, height: int) -> list[Line]:
        """The choices, and what the chosen one means."""
        says = [choice.says.format(choice.number) for choice in self._choices]
        items = [Item(text, chosen=at == self._at) for at, text in enumerate(says)]
        able, meaning = self._meaning()
        foot = "up/down   " + ("left/right, digits   " if self._choices[self._at].open else "")
        foot += "enter: take it   escape: change nothing" if able else "escape: change nothing"
        return page("HOW LONG", meaning, items, foot, width, height, self.palette)

    def _length(self) -> Length:
        choice = self._choices[self._at]
        return self._lengths.length(**{"rows" if choice.of_rows else "repeats": choice.number})

    def _meaning(self) -> tuple[bool, list[str]]:
        """Whether the chosen length can be taken, and what it means."""
        held, lengths, length = self._held, self._lengths, self._length()
        family = held.whole.main.design.family
        now = f"Now: {lengths.words(lengths.now)}"
        if lengths.row is not None and family.row_word:
            now += f"; you are at {family.row_word} {lengths.row}"
        tied = sum(number >= held.whole.main.first + held.whole.main.work.size for number in held.progress.history)
        first = f"Undo {counted(tied, 'step')} of the finish first, last first: this counts them as undone."
        if self._choices[self._at].no_finish:
            return True, [*([first] if tied else []), "The piece then ends with the band."]
        try:
            steps = lengths.steps(length)
        except NoSuchLength as fault:
            return False, [f"Not possible: {fault}.", f"{now}."]
        more = steps - held.whole.main.work.size
        if length == lengths.now:
            return True, ["Nothing changes.", f"{now}."]
        words = f"{counted(abs(more), f'{_MORE[more < 0]} {family.step_word}')}: {lengths.words(length)}"
        texts = [f"{words}. What is tied stays tied.", f"{now}."]
        if tied and more > 0:
            texts = [f"{first} Then {words}.", "Trimmed ends may be too short to go on: measure them first.", f"{now}."]
        return True, texts

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
        length = self._length()
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


def _choices(lengths: Lengths) -> list[Choice]:
    now = lengths.now
    found = [Choice(f"as it is: {lengths.words(now)}", now.rows, of_rows=lengths.has_rows)]
    if not lengths.has_rows:
        found[0] = found[0]._replace(number=now.repeats)
    whole = now.rows // lengths.rows_per_repeat
    found.append(Choice("repeats in all: {}", whole + 1, of_rows=False, open=True))
    if lengths.has_rows:
        found.append(Choice("rows in all: {}", now.rows + 1, of_rows=True, open=True))
    if lengths.row is not None:
        repeat = -(-lengths.row // lengths.rows_per_repeat)
        row = f", row {repeat * lengths.rows_per_repeat}" if lengths.has_rows else ""
        found.append(Choice(f"end after this repeat: repeat {repeat}{row}", repeat, of_rows=False))
        if lengths.has_rows:
            found.append(Choice(f"end after this row: row {lengths.row}", lengths.row, of_rows=True))
    if lengths.has_added_finish:
        found.append(Choice("without the added finish", 1, of_rows=False, no_finish=True))
    return found
