"""The base of every screen of the bench: a screen made of lines of cells."""

from collections.abc import Sequence
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.screen import Screen

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.terminal.board import Board
from benchmate.bench.terminal.few_colours import depth_of
from benchmate.bench.terminal.guard import Press, Verdict
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.craft.knots import NAMES
from benchmate.craft.wording.prompt_parts import sentences
from benchmate.display.cells import Line
from benchmate.display.palette import DARK, LIGHT, Palette, on_screen

T = TypeVar("T")
ARROWS = frozenset(("up", "down", "left", "right", "pageup", "pagedown"))
"""Keys that move, or change a number by one."""
ARROWS_AND_BACKSPACE = ARROWS | {"backspace"}


class LinesScreen(Screen[T]):
    """A screen that makes its lines of cells, and returns a value when it is left.

    Subclasses define `lines` and call `show` after a change. With the voice on, a screen that defines `heard` says that
    when it opens, and after a change what is new in it.
    """

    repeats: ClassVar[frozenset[str]] = ARROWS
    """The keys that go on while they are held down; all others act once."""
    types: ClassVar[bool] = False
    """True where what is typed is text, which fast hands type with presses that overlap."""
    _left = False
    _heard_last: Sequence[str] = ()

    def __init__(self, bench: Bench) -> None:
        """`bench` is the app."""
        super().__init__()
        self.bench = bench

    def compose(self) -> ComposeResult:
        """One board."""
        self._board = Board(self.lines)
        yield self._board

    def lines(self, width: int, height: int) -> list[Line]:
        """Exactly `height` lines of exactly `width` cells."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Says what is asked. The framework calls this after that of a subclass, which therefore never calls it."""
        if self.bench.speaks and not self._left:
            self._heard_last = self.heard()
            self._say_parts(self.heard_first())

    def heard_first(self) -> Sequence[str]:
        """What the screen says when it opens; nothing where it does not speak, or something else speaks for it."""
        return self.heard()

    def heard(self) -> Sequence[str]:
        """What the screen says as it is now, part by part, the most important first."""
        return ()

    @property
    def speaks(self) -> bool:
        """True when it says what it shows, while the voice is on."""
        return bool(self._heard_last)

    def take_press(self, press: Press) -> bool:
        """Acts on a press at once, before any other handler; True when it did.

        Otherwise the press reaches the screen as a key event, after those before it.
        """
        return False

    def take_key(self, event: Key) -> bool:
        """Acts at once on a key that does something here, so that the next key finds the screen it opened.

        False where the event reaches the screen in its turn instead, after it was shown.
        """
        return False

    @property
    def asked(self) -> object:
        """What is asked now, where that changes while the screen is open: a key held down does not answer both."""
        return None

    def takes(self, event: Key) -> bool:
        """Whether a key event does anything here: a press does, and a key held down where it moves."""
        press = event.press
        if press.verdict is Verdict.COUNTS or event.key in self.repeats:
            return True
        return self.types and event.is_printable and press.typed

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        """Leaves the screen with a result. Only the first call counts, so keys that came in a bunch answer once."""
        if self._left:
            return AwaitComplete()
        self._left = True
        return super().dismiss(result)

    def show(self) -> None:
        """Shows the lines as they are now, and says what is new."""
        if self.is_mounted:
            self._board.show()
            self._say_what_is_new()

    def _say_what_is_new(self) -> None:
        if self.bench.speaks and not self._left:
            before, self._heard_last = self._heard_last, self.heard()
            self._say_parts([part for part in self._heard_last if part not in before])

    def _say_parts(self, parts: Sequence[str]) -> None:
        """Says the parts, with the names of the knots that the maker knows by ear."""
        words = sentences(*parts)
        for knot, name in NAMES[self.bench.settings.knot_names].items():
            if not knot.swaps:
                words = words.replace(knot.words, name)
        if words:
            self.bench.speak(words)

    @property
    def palette(self) -> Palette:
        """The colours to draw with, as the terminal shows them."""
        return on_screen(LIGHT if self.bench.light else DARK, self.depth)

    @property
    def depth(self) -> ColourDepth:
        """How many colours the terminal shows."""
        return depth_of(self.app)
