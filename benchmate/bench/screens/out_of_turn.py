"""Counting a knot that was tied out of turn."""

from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.craft.wording import step_words
from benchmate.display.cells import Line
from benchmate.store.held import Held


class OtherScreen(LinesScreen[int]):
    """Chooses one of the knots that can be tied now; the result is its number."""

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

    def __init__(self, bench: Bench, held: Held) -> None:
        """`held` has at least one step that can be tied."""
        super().__init__(bench)
        self._held = held
        self._ready = held.progress.ready()
        turn = held.progress.next
        self._at = self._ready.index(turn) if turn in self._ready else 0

    def lines(self, width: int, height: int) -> list[Line]:
        """A line for every knot that can be tied now."""
        items = [Item(self._said(number), chosen=at == self._at) for at, number in enumerate(self._ready)]
        count = len(self._ready)
        texts = [f"Which one has been tied? As the knots are it can be any of {count}; this is number {self._at + 1}."]
        if count == 1:
            texts = ["As the work is now only this one can be done."]
        foot = "up/down, page up/page down   enter: this one is done   escape: none"
        return page("OUT OF TURN", texts, items, foot, width, height, self.palette)

    def _said(self, number: int) -> str:
        part, step = self._held.whole.part_of(number), self._held.whole.step(number)
        if part.design.family.step_word != "knot":
            return step_words.spoken(part, step)
        turn = ", the one in turn" if number == self._held.progress.next else ""
        return f"row {step.row}, {step_words.name_of(part, step)}, {step_words.crossed(part, step)}{turn}"

    def action_walk(self, by: int) -> None:
        """To the knot before or after."""
        self._at = min(max(0, self._at + by), len(self._ready) - 1)
        self.show()

    def action_choose(self) -> None:
        """This one is done."""
        self.dismiss(self._ready[self._at])
