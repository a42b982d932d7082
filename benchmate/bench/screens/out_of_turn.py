"""Counts a knot that was tied out of turn."""

from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.craft.wording import step_words
from benchmate.display.cells import Line
from benchmate.store.open_piece import OpenPiece


class OutOfTurnScreen(LinesScreen[int]):
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

    def lines(self, width: int, height: int) -> list[Line]:
        """A line for each knot that can be tied now."""
        items = [Item(self._said(number), chosen=at == self._at) for at, number in enumerate(self._ready)]
        count = len(self._ready)
        texts = [f"Which one did you tie? {count} are possible; this is number {self._at + 1}."]
        if count == 1:
            texts = ["Only this one can be done now."]
        foot = "up/down, page up/page down   enter: this one   escape: none"
        return page("DIFFERENT KNOT", texts, items, foot, width, height, self.palette)

    def _said(self, number: int) -> str:
        part, step = self._held.whole.part_of(number), self._held.whole.step(number)
        if part.design.family.step_word != "knot":
            return step_words.spoken(part, step)
        turn = ", next in order" if number == self._held.progress.next else ""
        return f"row {step.row}, {step_words.name_of(part, step)}, {step_words.crossed(part, step)}{turn}"

    def action_walk(self, by: int) -> None:
        """Moves up or down the list."""
        self._at = min(max(0, self._at + by), len(self._ready) - 1)
        self.show()

    def action_choose(self) -> None:
        """Returns the chosen knot."""
        self.dismiss(self._ready[self._at])
