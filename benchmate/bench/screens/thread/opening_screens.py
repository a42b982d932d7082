"""How questions that follow one another open their screens, whichever screen is below them."""

from collections.abc import Callable
from typing import Protocol, TypeVar

from benchmate.bench.screens.lines_screen import LinesScreen

T = TypeVar("T")


class Asking(Protocol):
    """Opens a screen; `answered` gets its result."""

    def __call__(self, screen: LinesScreen[T], answered: Callable[[T | None], None]) -> None:
        """Opens it."""
