"""What screens may ask of the app they are part of."""

from collections.abc import Callable
from typing import Protocol

from benchmate.piece_opening import OpenedPiece, WorkingOptions
from benchmate.settings import Settings
from benchmate.store.pieces import Piece


class Bench(Protocol):
    """The app as its screens know it: the settings and what is chosen for now, and the way to other pieces."""

    light: bool
    """Light instead of dark."""
    press: str
    """What one press means: a `knot`, the rest of the `run` or of the `row`."""

    @property
    def settings(self) -> Settings:
        """The settings as they are now."""

    def change_settings(self, change: Callable[[Settings], Settings]) -> None:
        """Changes the settings as they are kept. Raises StoreError, and changes nothing, when that cannot be done."""

    def open_choice(self, piece: Piece | None, file: str) -> None:
        """Opens a piece of the list, or begins one on a design."""

    def look_again(self, piece: int) -> OpenedPiece:
        """The piece with a fresh look at its design's file. Raises StoreError."""

    def begin_anew(self, opening: OpenedPiece) -> None:
        """Begins a new piece on the design's file as it is now. Raises StoreError."""

    def begin_as(self, opening: OpenedPiece, options: WorkingOptions) -> None:
        """Begins the piece that is open, and has no knot yet, in another way. Raises StoreError."""

    def second_window(self, piece: int) -> None:
        """Another window has begun a piece from the same file. Raises StoreError."""

    def leave_piece(self) -> None:
        """Leaves the piece that is open."""
