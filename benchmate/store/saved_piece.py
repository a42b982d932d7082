"""A piece as it is kept, and this program's hold on it: what it has seen of the log, and whether it may add to it."""

from contextlib import suppress
from typing import NamedTuple

from benchmate.craft.pace import Press
from benchmate.craft.ways import Way
from benchmate.store.database import StoreError
from benchmate.store.holders import Holder
from benchmate.store.log import Event
from benchmate.store.pieces import Copy, Piece, Pieces, TakenOver

Change = tuple[str, int, int]
"""An entry for the log that has no number yet: what was done, the first step and the last."""


class AsKept(NamedTuple):
    """All that is kept of a piece, of one moment."""

    row: Piece
    copy: Copy
    events: list[Event]
    presses: list[Press]
    plan: bytes | None


class SavedPiece:
    """A piece in the database, or one that its first entry will put there.

    Whatever writes raises NotSaved when it could not, and TakenOver when another window holds the piece or has written
    to its log since; in each case nothing has been written.
    """

    def __init__(self, pieces: Pieces, holder: Holder, file: str, piece: int | None, *, alone: bool) -> None:
        """`piece` is None for one that is about to be begun; `alone` when it may be begun beside another."""
        self.pieces = pieces
        self.file = file
        self.piece = piece
        self.holding = piece is None
        self._holder = holder
        self._known = None if alone else pieces.newest()
        self._seen = 0
        self._planned = 0

    @property
    def number(self) -> int:
        """The number of a piece that has been begun."""
        assert self.piece is not None
        return self.piece

    def read(self) -> AsKept:
        """All that is kept of it now. It counts as seen only when it is handed to `seen`."""
        pieces, number = self.pieces, self.number
        with pieces.one_moment():
            return AsKept(
                pieces.get(number),
                pieces.copy_of(number),
                pieces.events(number),
                pieces.presses(number),
                pieces.plan_of(number),
            )

    def seen(self, kept: AsKept) -> None:
        """What was read is what this window goes by now."""
        self._seen = kept.events[-1].number if kept.events else 0
        self._planned = kept.row.planned

    @property
    def has_news(self) -> bool:
        """True when another window has written since what was seen."""
        number = self.number
        return bool(self.pieces.events(number, self._seen)) or self.pieces.get(number).planned != self._planned

    def hold(self, *, force: bool) -> None:
        """Takes the piece in hand. Raises TakenOver when another window has it and `force` is not given."""
        self.pieces.hold(self.number, self._holder.token, force=force)

    def let_go(self) -> None:
        """Holds the piece no longer."""
        if self.piece is not None and self.holding:
            # Where this cannot be written it is not missed: a holder that has left holds nothing.
            with suppress(StoreError):
                self.pieces.let_go(self.piece, self._holder.token)
        self.holding = False

    @property
    def is_ours(self) -> bool:
        """False when another window has taken the piece over."""
        return self.piece is None or self.pieces.get(self.piece).holder == self._holder.token

    def begin(
        self, title: str, way: Way, plan: bytes | None, size: int, copy: Copy, events: list[Change], done: int
    ) -> None:
        """Puts the piece into the database, with its first entries."""
        self._refuse_unheld()
        self.piece, self._seen = self.pieces.begin(
            title, self.file, way, plan, size, copy, self._holder.token, self._known, events, done
        )

    def add(self, events: list[Change], done: int) -> None:
        """Adds entries to the log; `done` steps are tied after them."""
        self._refuse_unheld()
        self._seen = self.pieces.add(self.number, self._holder.token, self.file, self._seen, events, done)

    def change_way(self, way: Way, plan: bytes | None) -> None:
        """Has it worked in another way, by that plan. One that is not begun yet keeps it with its first entry."""
        self._refuse_unheld()
        if self.piece is not None:
            self.pieces.change_way(self.piece, self._holder.token, self._seen, way, plan)
            self._planned += 1

    def change_copy(self, title: str, size: int, copy: Copy) -> None:
        """Has it go by another copy of its design."""
        self._seen = self.pieces.change_copy(self.number, self._holder.token, self._seen, title, size, copy)

    def _refuse_unheld(self) -> None:
        if not self.holding:
            raise TakenOver(self.piece or 0)
