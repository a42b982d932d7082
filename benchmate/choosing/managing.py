"""What can be done with a piece in a list: rename it, put it aside, copy it, delete it, take it back."""

from collections.abc import Callable
from typing import NamedTuple

from benchmate.files.safe_text import LONGEST_NAME, hidden_in
from benchmate.kept import Kept
from benchmate.store.errors import StoreError
from benchmate.store.pieces import TakenOver
from benchmate.store.reading import Arrangement, Piece


class Done(NamedTuple):
    """What was done with a piece, in words, and which piece the list goes to; None where it stays."""

    says: str
    piece: int | None = None


class Managing:
    """Changes how pieces are kept. Each method says in words what it did, or why nothing was changed."""

    def __init__(self, kept: Kept, how_to_take_back: str) -> None:
        """`how_to_take_back` says what to press or type to have the piece back that was deleted last."""
        self._kept = kept
        self._how_to_take_back = how_to_take_back
        self.deleted: Piece | None = None
        """The piece deleted last, while it can be taken back at once."""

    def rename(self, piece: Piece, name: str) -> Done:
        """Gives it a name of its own; an empty one gives it its design's title again."""
        return self._arrange(
            piece,
            lambda before: before._replace(name=name or None),
            f"It is called {name} now." if name else "It has its design's title again.",
        )

    def put_aside(self, piece: Piece, aside: bool) -> Done:
        """Puts it aside, or back among the pieces to continue."""
        says = f"{piece.title} is put aside, at the end of the list." if aside else _back(piece, aside=False)
        return self._arrange(piece, lambda before: before._replace(aside=aside), says)

    def delete(self, piece: Piece) -> Done:
        """Puts it in the bin."""
        says = f"{piece.title} is in the bin. To take it back, {self._how_to_take_back}."
        done = self._arrange(piece, lambda before: before._replace(deleted=True), says)
        if done.says == says:
            self.deleted = piece
        return done

    def take_back(self, piece: Piece) -> Done:
        """Takes it out of the bin."""
        self.deleted = None
        says = _back(piece, aside=piece.arrangement.aside)
        return self._arrange(piece, lambda before: before._replace(deleted=False), says)

    def copy(self, piece: Piece, taken: set[str]) -> Done:
        """Makes a second piece with the same progress, under a name that is not among those taken."""
        number = 2
        while (name := f"{piece.title[: LONGEST_NAME - 8]} ({number})") in taken:
            number += 1
        try:
            copied = self._kept.pieces.copy(piece.piece, name)
        except StoreError as error:
            return Done(str(error))
        return Done(f"{name} has the same progress; it is in the list.", copied)

    def _arrange(self, piece: Piece, change: Callable[[Arrangement], Arrangement], says: str) -> Done:
        try:
            self._kept.pieces.arrange(piece.piece, self._kept.holder.token, change)
        except TakenOver:
            return Done(f"{piece.title} is open in another window. Nothing was changed. Leave it there first.")
        except StoreError as error:
            return Done(str(error))
        return Done(says, piece.piece)


def as_name(text: str) -> str:
    """What of a text can be a piece's name: nothing hidden, and not too long."""
    hidden = hidden_in(text)
    return "".join(sign for sign in text if sign not in hidden)[:LONGEST_NAME]


def _back(piece: Piece, *, aside: bool) -> str:
    """Where the piece is found again."""
    if aside:
        return f"{piece.title} is back, put aside, at the end of the list."
    where = "with the finished pieces, at the end of the list" if piece.finished else "in the list"
    return f"{piece.title} is back {where}."
