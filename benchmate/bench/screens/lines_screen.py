"""The base of every screen of the bench: a screen made of lines of cells."""

from typing import TypeVar

from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.screen import Screen

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.terminal.board import Board
from benchmate.bench.terminal.few_colours import depth_of
from benchmate.bench.terminal.guard import Press
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.display.cells import Line
from benchmate.display.palette import DARK, LIGHT, Palette, on_screen

T = TypeVar("T")


class LinesScreen(Screen[T]):
    """A screen that makes its lines of cells, and returns a value when it is left.

    Subclasses define `lines` and call `show` after a change.
    """

    _left = False

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

    def take_press(self, press: Press) -> bool:
        """Acts on a press at once, before any other handler; True when it did.

        Otherwise the press reaches the screen as a key event, after those before it.
        """
        return False

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        """Leaves the screen with a result. Only the first call counts, so keys that came in a bunch answer once."""
        if self._left:
            return AwaitComplete()
        self._left = True
        return super().dismiss(result)

    def show(self) -> None:
        """Shows the lines as they are now."""
        if self.is_mounted:
            self._board.show()

    @property
    def palette(self) -> Palette:
        """The colours to draw with, as the terminal shows them."""
        return on_screen(LIGHT if self.bench.light else DARK, self.depth)

    @property
    def depth(self) -> ColourDepth:
        """How many colours the terminal shows."""
        return depth_of(self.app)
