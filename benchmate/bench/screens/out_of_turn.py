"""Counts a knot that was tied out of turn."""

from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.piece_questions import knot_choices
from benchmate.store.open_piece import OpenPiece


class OutOfTurnScreen(PageScreen[int]):
    """Lists the knots that can be tied now; the result is the number of the chosen one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,left", "walk(-1)", "up"),
        Binding("down,right", "walk(1)", "down"),
        Binding("pageup", "walk(-10)", "up by ten"),
        Binding("pagedown", "walk(10)", "down by ten"),
        Binding("home", "walk(-1000)", "the first"),
        Binding("end", "walk(1000)", "the last"),
        Binding("enter", "choose", "this one"),
        Binding("escape,q,o", "dismiss(None)", "none"),
    ]

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` has at least one step that can be tied."""
        super().__init__(bench)
        self._held = held
        self._ready = held.progress.ready()
        turn = held.progress.next
        self._at = self._ready.index(turn) if turn in self._ready else 0

    def page(self) -> Page:
        """A line for each knot that can be tied now."""
        items = [
            Item(knot_choices.out_of_turn(self._held, number), chosen=at == self._at)
            for at, number in enumerate(self._ready)
        ]
        count = len(self._ready)
        # In two texts: the question is not said again for every knot.
        texts = [f"Which one did you tie? {count} are possible.", f"This is number {self._at + 1}."]
        if count == 1:
            texts = ["Only this one can be done now."]
        foot = "up/down, page up/page down   enter: this one   escape: none"
        return Page("DIFFERENT KNOT", texts, items, foot)

    def action_walk(self, by: int) -> None:
        """Moves up or down the list."""
        self._at = min(max(0, self._at + by), len(self._ready) - 1)
        self.show()

    def action_choose(self) -> None:
        """Returns the chosen knot."""
        self.dismiss(self._ready[self._at])
