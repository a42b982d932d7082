"""A piece in the database as this window uses it: how much of the log it has read, and whether it may add to it."""

from contextlib import suppress
from typing import NamedTuple

from benchmate.craft.pace import Press
from benchmate.craft.ways import Way
from benchmate.store.database import StoreError
from benchmate.store.holders import Holder
from benchmate.store.log import Event
from benchmate.store.pieces import Copy, Piece, Pieces, TakenOver

Change = tuple[str, int, int]
"""A log entry without its number: the act, the first step and the last."""


class StoredPiece(NamedTuple):
    """Everything the database holds about a piece, read in one transaction."""

    row: Piece
    copy: Copy
    events: list[Event]
    presses: list[Press]
    plan: bytes | None


class SavedPiece:
    """A piece in the database, or a new one that its first entry will put there.

    Methods that write raise NotSaved when the write fails, and TakenOver when another window holds the piece or has
    added to its log; nothing has been written then.
    """

    def __init__(self, pieces: Pieces, holder: Holder, file: str, piece: int | None, *, alone: bool) -> None:
        """`piece` is None for a new piece; `alone` lets it start although another window started one from `file`."""
        self.pieces = pieces
        self.file = file
        self.piece = piece
        self.holding = piece is None
        self._holder = holder
        self._newest = None if alone else pieces.newest()
        self._seen = 0
        self._planned = 0

    @property
    def number(self) -> int:
        """The number of a piece that is in the database."""
        assert self.piece is not None
        return self.piece

    def read(self) -> StoredPiece:
        """Reads everything about it. It counts as seen only once it is passed to `mark_seen`."""
        pieces, number = self.pieces, self.number
        with pieces.snapshot():
            return StoredPiece(
                pieces.get(number),
                pieces.copy_of(number),
                pieces.events(number),
                pieces.presses(number),
                pieces.plan_of(number),
            )

    def mark_seen(self, stored: StoredPiece) -> None:
        """Records that this window now shows what was read."""
        self._seen = stored.events[-1].number if stored.events else 0
        self._planned = stored.row.planned

    @property
    def has_news(self) -> bool:
        """True when another window has written since then."""
        number = self.number
        return bool(self.pieces.events(number, self._seen)) or self.pieces.get(number).planned != self._planned

    def hold(self, *, force: bool) -> None:
        """Makes this window the holder. Raises TakenOver when another window holds the piece, unless `force`."""
        self.pieces.hold(self.number, self._holder.token, force=force)

    def let_go(self) -> None:
        """Releases the piece."""
        if self.piece is not None and self.holding:
            # A failure here does no harm: the lock of a program that has ended holds nothing.
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
        """Adds the piece to the database with its first entries."""
        self._refuse_unheld()
        self.piece, self._seen = self.pieces.begin(
            title, self.file, way, plan, size, copy, self._holder.token, self._newest, events, done
        )

    def add(self, events: list[Change], done: int) -> None:
        """Adds entries to the log, after which `done` steps are tied."""
        self._refuse_unheld()
        self._seen = self.pieces.add(self.number, self._holder.token, self.file, self._seen, events, done)

    def change_way(self, way: Way, plan: bytes | None) -> None:
        """Saves another way of working and its plan. A new piece saves them with its first entry."""
        self._refuse_unheld()
        if self.piece is not None:
            self.pieces.change_way(self.piece, self._holder.token, self._seen, way, plan)
            self._planned += 1

    def change_copy(self, title: str, size: int, copy: Copy) -> None:
        """Changes it to another copy of its design."""
        self._seen = self.pieces.change_copy(self.number, self._holder.token, self._seen, title, size, copy)

    def _refuse_unheld(self) -> None:
        if not self.holding:
            raise TakenOver(self.piece or 0)
