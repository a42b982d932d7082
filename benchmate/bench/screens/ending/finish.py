"""Offers the shipped finishes to a piece whose design names none."""

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.piece_opening import UpdatedDesign
from benchmate.piece_questions import after_the_end
from benchmate.store.open_piece import OpenPiece


class FinishScreen(PageScreen[UpdatedDesign]):
    """Lists finishes; the result is the piece with the chosen one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "walk(-1)", "up"),
        Binding("down", "walk(1)", "down"),
        Binding("enter", "choose", "this one"),
        Binding("escape,q", "dismiss(None)", "none"),
    ]

    def __init__(self, bench: Bench, held: OpenPiece, finishes: Sequence[UpdatedDesign]) -> None:
        """`finishes` are the piece with each finish; there is at least one."""
        super().__init__(bench)
        self._held = held
        self._finishes = finishes
        self._at = 0

    def page(self) -> Page:
        """A line for each finish, and the first steps of the chosen one."""
        items = [
            Item(after_the_end.finish_words(finish), chosen=at == self._at) for at, finish in enumerate(self._finishes)
        ]
        first = after_the_end.how_it_begins(self._finishes[self._at])
        texts = ["Which finish? Its steps follow the band.", f"It begins: {first}."]
        foot = "up/down   enter: this one   escape: none"
        return Page("FINISH", texts, items, foot)

    def action_walk(self, by: int) -> None:
        """Moves up or down the list."""
        self._at = min(max(0, self._at + by), len(self._finishes) - 1)
        self.show()

    def action_choose(self) -> None:
        """Returns the chosen finish."""
        self.dismiss(self._finishes[self._at])
