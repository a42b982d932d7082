"""The app as its screens see it."""

from collections.abc import Callable
from typing import Protocol

from benchmate.piece_opening import OpenedPiece, WorkingOptions
from benchmate.settings import Settings
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.reading import Piece


class Bench(Protocol):
    """What screens may use of the app: settings, what is chosen for this session, and opening other pieces."""

    light: bool
    """Light instead of dark."""
    press: str
    """What one press counts: a `knot`, the rest of the `run` or of the `row`."""

    @property
    def settings(self) -> Settings:
        """The settings as they are now."""

    @property
    def speaks(self) -> bool:
        """True while the voice is on."""

    def speak(self, words: str) -> None:
        """Says words aloud, if the voice is on."""

    def hear_mouse(self, *, listening: bool = False) -> None:
        """Takes the buttons of the mouse as keys where an action has one of them, or while something is `listening`."""

    def change_settings(self, change: Callable[[Settings], Settings]) -> None:
        """Changes the settings and saves them. Raises StoreError, and changes nothing, when that fails."""

    def open_choice(self, piece: Piece | None, file: str, newest: int) -> None:
        """Opens a piece from the list, whose newest piece is given, or starts one on a design."""

    def open_design(self, file: str, rows: int = 0) -> None:
        """Leaves the open piece, and follows the design in `file`. Raises BadFile and StoreError.

        A new piece counts its first `rows` rows as tied: a lesson has made them.
        """

    def check_design_file(self, piece: int) -> OpenedPiece:
        """The piece, compared with its design file as it is now. Raises StoreError."""

    def start_new(self, opening: OpenedPiece) -> None:
        """Starts a new piece on the design file as it is now. Raises StoreError."""

    def restart_as(self, opening: OpenedPiece, wish: WorkingOptions) -> None:
        """Works the open piece, of which nothing is tied, another way. Raises StoreError and TakenOver."""

    def open_started_elsewhere(self, piece: int) -> None:
        """Opens the piece that another window has since started from the same file. Raises StoreError."""

    @property
    def open_piece(self) -> OpenPiece | None:
        """The piece on the screen now."""

    def leave_lost(self, error: StoreError) -> None:
        """Ends the program, because the piece can no longer be saved where it was; `error` says what became of it."""

    def leave_piece(self) -> None:
        """Leaves the open piece."""
