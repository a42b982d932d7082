"""Offers the shipped finishes to a piece whose design names none."""

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.guard import Verdict
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.wording.counting import counted
from benchmate.display.cells import Line
from benchmate.piece_opening import UpdatedDesign
from benchmate.store.open_piece import OpenPiece


class FinishScreen(LinesScreen[UpdatedDesign]):
    """Lists finishes; the result is the piece with the chosen one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "walk(-1)", "up"),
        Binding("down", "walk(1)", "down"),
        Binding("escape,q", "dismiss(None)", "none"),
    ]

    def __init__(self, bench: Bench, held: OpenPiece, finishes: Sequence[UpdatedDesign]) -> None:
        """`finishes` are the piece with each finish; there is at least one."""
        super().__init__(bench)
        self._held = held
        self._finishes = finishes
        self._at = 0

    def lines(self, width: int, height: int) -> list[Line]:
        """A line for each finish, and the first steps of the chosen one."""
        items = []
        for at, finish in enumerate(self._finishes):
            part = finish.whole.parts[-1]
            text = f"{part.design.title}: {counted(part.work.size, 'step')}"
            items.append(Item(text, chosen=at == self._at))
        part = self._finishes[self._at].whole.parts[-1]
        first = part.design.family.words.name(part.work.step(0))
        texts = ["Which finish? Its steps follow the band.", f"It begins: {first}."]
        foot = "up/down   enter: this one   escape: none"
        return page("FINISH", texts, items, foot, width, height, self.palette)

    def action_walk(self, by: int) -> None:
        """Moves up or down the list."""
        self._at = min(max(0, self._at + by), len(self._finishes) - 1)
        self.show()

    def on_key(self, event: Key) -> None:
        """Enter takes the chosen finish; a repeat of a held key does not."""
        if event.key == "enter":
            event.stop()
            if event.press.verdict is Verdict.COUNTS:
                self.dismiss(self._finishes[self._at])
