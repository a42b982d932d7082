"""Where the lists of plain mode come from: the pieces as they are now, and the shipped designs, read when asked for."""

from functools import cached_property
from typing import TYPE_CHECKING

from benchmate.choosing.shelves import Stock
from benchmate.kept import Kept
from benchmate.store.errors import StoreError
from benchmate.store.reading import Piece

if TYPE_CHECKING:
    from benchmate.choosing.shipped_designs import ShippedDesigns


class Source:
    """The pieces and the designs to choose from."""

    def __init__(self, kept: Kept) -> None:
        self._kept = kept
        self.pieces: list[Piece] = []
        self.newest = 0
        """The newest piece when the pieces were read last."""

    def read(self) -> str:
        """Reads the pieces; returns what is wrong with one that cannot be read, or nothing."""
        fault: StoreError | None
        try:
            self.pieces, fault = self._kept.pieces.readable()
        except StoreError as error:
            self.pieces, fault = [], error
        self.newest = max((piece.piece for piece in self.pieces), default=0)
        return "" if fault is None else str(fault)

    @cached_property
    def shipped(self) -> "ShippedDesigns":
        """The shipped designs. Reading them takes longer than all the rest of a list."""
        from benchmate.choosing.shipped_designs import shipped_designs

        return shipped_designs()

    @property
    def kept_pieces(self) -> Stock:
        """The pieces alone."""
        return Stock(self.pieces, (), ())

    @property
    def stock(self) -> Stock:
        """Everything."""
        return Stock(self.pieces, self.shipped.lessons, self.shipped.designs)
