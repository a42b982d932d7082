"""A screen made of lines of cells: what every screen of the bench is."""

from typing import TypeVar

from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.screen import Screen

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.terminal.board import Board
from benchmate.bench.terminal.guard import Press
from benchmate.display.cells import Line
from benchmate.display.palette import DARK, LIGHT, Palette

T = TypeVar("T")


class LinesScreen(Screen[T]):
    """A screen that says what its lines are, and hands back a value of its own kind when it is left.

    Subclasses give `lines` and call `show` when something has changed.
    """

    _left = False

    def __init__(self, bench: Bench) -> None:
        """`bench` is the app it is part of."""
        super().__init__()
        self.bench = bench

    def compose(self) -> ComposeResult:
        """One board."""
        self._board = Board(self.lines)
        yield self._board

    def lines(self, width: int, height: int) -> list[Line]:
        """Exactly `height` lines of exactly `width` cells."""
        raise NotImplementedError

    def take(self, press: Press) -> bool:
        """Acts on a press at once, before anything else may; True when that was done.

        A screen that does not gets it afterwards, as the key event it is, when it has seen to those before.
        """
        return False

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        """Leaves the screen with a result, the first there is: keys that came with it find nothing more to answer."""
        if self._left:
            return AwaitComplete()
        self._left = True
        return super().dismiss(result)

    def show(self) -> None:
        """Has the board show what the lines are now."""
        if self.is_mounted:
            self._board.show()

    @property
    def palette(self) -> Palette:
        """The colours to draw with."""
        return LIGHT if self.bench.light else DARK
