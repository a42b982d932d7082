"""Makes the band longer or ends it sooner, by its repeats or its measure, and first shows what that means."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.screens.thread.number_screen import NumberScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.piece_length import Lengths
from benchmate.piece_opening import UpdatedDesign
from benchmate.piece_questions import length_choices
from benchmate.piece_questions.band_length import BandLength
from benchmate.piece_questions.length_choices import Choice
from benchmate.piece_questions.typed_numbers import Asked, Typed, Wish
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece

MOST_DIGITS = 6


class _Line(NamedTuple):
    """A line of the screen: its words, what enter does, and what the line means, where it is no length to choose."""

    words: str
    does: Callable[[], None]
    means: Sequence[str]


class LengthScreen(PageScreen[UpdatedDesign]):
    """Asks how long the band is to be. The result is the piece with that length, in which what is tied stays tied."""

    repeats = ARROWS_AND_BACKSPACE

    def __init__(self, bench: Bench, held: OpenPiece, lengths: Lengths, band: BandLength) -> None:
        """`band` is what is known of its length, and remembers what is said here."""
        super().__init__(bench)
        self._held = held
        self._lengths = lengths
        self._band = band
        self._choices = length_choices.choices(lengths)
        # A finished band is to go on; another one stays as it is unless something is chosen.
        self._at = 1 if lengths.row is None else 0
        self._typing = False
        self._says = ""

    def _lines(self) -> list[Choice | _Line]:
        """The lengths to choose, then what can be said of the band's length, then the lengths that follow from it."""
        band = self._band
        if not band.has_length:
            return [*self._choices]
        lines: list[Choice | _Line] = [*self._choices[: self._first_fit], *band.choices()]
        if band.rows:
            means = [] if band.known.measured else ["Measure it, and see how many rows are left."]
            lines.append(_Line("how long is it now?", self._ask_now, means))
        means = [] if band.known.wanted else ["Say how long it is to be, and see the repeats that fit."]
        lines.append(_Line("for a wrist", self._ask_wrist, means))
        lines.append(_Line("for a length", self._ask_band, means))
        if band.keep_words is not None:
            called = self._held.whole.main.design.family.called
            lines.append(_Line(band.keep_words, self._keep, [f"Your next {called} are then reckoned with it too."]))
        return [*lines, *self._choices[self._first_fit :]]

    @property
    def _first_fit(self) -> int:
        """The place of the lengths that fit: before the line that takes the finish away, which stays the last."""
        return sum(not choice.no_finish for choice in self._choices)

    @property
    def _chosen(self) -> Choice | _Line:
        return self._lines()[self._at]

    def page(self) -> Page:
        """The choices, what the chosen one means, and what is known of the length."""
        chosen = self._chosen
        items = [Item(line.words, chosen=at == self._at) for at, line in enumerate(self._lines())]
        able, meaning = self._meaning()
        told = self._band.told() if self._band.has_length else []
        texts = [*meaning, *told] if isinstance(chosen, Choice) else [*told, *meaning]
        foot = "up/down   " + ("left/right, digits   " if isinstance(chosen, Choice) and chosen.open else "")
        foot += "enter: take it   escape: change nothing" if able else "escape: change nothing"
        return Page("HOW LONG", [self._says, *texts] if self._says else texts, items, foot)

    def _meaning(self) -> tuple[bool, list[str]]:
        """Whether the chosen line can be taken, and what it means."""
        chosen = self._chosen
        if isinstance(chosen, _Line):
            return True, [*chosen.means]
        return length_choices.meaning(self._held, self._lengths, chosen)

    def on_key(self, event: Key) -> None:
        """Up and down choose, digits and left and right change the number, enter takes it."""
        event.stop()
        chosen = self._chosen
        if event.key in ("escape", "q"):
            self.dismiss(None)
        elif event.key == "enter":
            self._take(chosen)
        elif event.key in ("up", "down"):
            self._at = min(max(0, self._at + (1 if event.key == "down" else -1)), len(self._lines()) - 1)
            self._typing, self._says = False, ""
        elif isinstance(chosen, Choice) and chosen.open:
            self._change_number(chosen, event.key)
        self.show()

    def _take(self, chosen: Choice | _Line) -> None:
        if isinstance(chosen, _Line):
            chosen.does()
            return
        length = chosen.length(self._lengths)
        if chosen.no_finish:
            self.dismiss(self._lengths.without_finish())
        elif length == self._lengths.now:
            self.dismiss(None)
        elif self._meaning()[0]:
            self.dismiss(self._lengths.changed(length))

    def _change_number(self, choice: Choice, key: str) -> None:
        number = choice.number
        if key in ("left", "right"):
            number, self._typing = max(1, number + (1 if key == "right" else -1)), False
        elif len(key) == 1 and key.isascii() and key.isdigit():
            number, self._typing = int(f"{number if self._typing else ''}{key}"[:MOST_DIGITS]), True
        elif key == "backspace":
            number, self._typing = number // 10, True
        self._choices[self._at] = choice._replace(number=number)

    # How long it is, and how long it is to be

    def _ask_now(self) -> None:
        self._ask(self._band.ask_now(), lambda mm: self._band.known.measure(mm, self._band.rows))

    def _ask_wrist(self) -> None:
        self._ask(self._band.ask_wrist(), self._band.known.want_wrist)

    def _ask_band(self) -> None:
        self._ask(self._band.ask_band(), self._band.known.want_band)

    def _ask(self, asked: Asked, take: Callable[[float], None]) -> None:
        """Asks for a length on a screen of its own, and goes to the repeats that then fit."""

        def answered(typed: Typed | None) -> None:
            if typed is not None and typed.wish is Wish.TAKE:
                take(typed.number)
                if self._band.known.wanted is not None:
                    self._at = self._first_fit
            self.show()

        self.app.push_screen(NumberScreen(self.bench, asked, means={Wish.SKIP: "back"}), answered)

    def _keep(self) -> None:
        try:
            self._says = self._band.keep()
        except StoreError as error:
            self._says = f"Not kept. {error}"
