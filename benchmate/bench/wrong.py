"""Choosing the wrong knot, on the band or by walking back."""

from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench import band
from benchmate.bench.board import LinesScreen
from benchmate.bench.cells import Line, beside, line, text_line
from benchmate.bench.compose import large
from benchmate.bench.view import NEUTRAL
from benchmate.craft import telling
from benchmate.craft.colour import ink_on
from benchmate.craft.design import Diagonal
from benchmate.craft.steps import Tie
from benchmate.store.held import Held


class WrongScreen(LinesScreen):
    """Moves over the tied knots; the result is the number of the one chosen, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,backspace,pageup", "walk(-1)", "the knot tied before"),
        Binding("right,pagedown", "walk(1)", "the knot tied after"),
        Binding("up", "row(-1)", "a row back"),
        Binding("down", "row(1)", "a row on"),
        Binding("enter,space", "choose", "this one is wrong"),
        Binding("escape,q,u", "dismiss(None)", "none is wrong"),
    ]

    def __init__(self, held: Held) -> None:
        """`held` has at least one tied step."""
        super().__init__()
        self._held = held
        self._history = list(held.progress.history)
        self._at = len(self._history) - 1

    @property
    def _number(self) -> int:
        return self._history[self._at]

    def lines(self, width: int, height: int) -> list[Line]:
        """The knot looked at in large type, what it means to take it out, and the band with its place."""
        held, number = self._held, self._number
        part, step = held.whole.part_of(number), held.whole.step(number)
        picture: list[Line] = []
        if isinstance(part.design.body, Diagonal):
            wide = min(2 * len(part.design.strings) + 2 * band.MARGIN, width // 2)
            picture = band.draw(part, held.progress, number, wide, height, self.palette)
            width -= wide
        field = NEUTRAL
        if isinstance(step, Tie):
            field = part.design.colours[part.design.strings[step.knotting - 1]].value
        out = len(held.progress.must_come_out(number))
        count = "only this one must come out" if out == 1 else f"{out} knots must come out, the last one first"
        place = held.order.place[number] + 1
        where = f"row {step.row}, knot {place} of {held.whole.size}" if isinstance(step, Tie) else f"step {place}"
        texts = [
            (f"Which is wrong?  {where}", True),
            (telling.hands(part.design, step) if isinstance(step, Tie) else "", False),
            (f"To reach it {count}.", True),
            ("left/right: walk   up/down: by row", False),
            ("enter: this one   escape: none", False),
        ]
        word = max(1, height - len(texts))
        ink, quiet, ground = self.palette.ink, self.palette.quiet, self.palette.ground
        lines = large(telling.name_of(step), width, word, field)
        lines += [text_line(text, width, ink if bold else quiet, ground, bold=bold) for text, bold in texts]
        lines = [*lines, *[line([], width, ink_on(ground))] * height][:height]
        return beside([lines, picture]) if picture else lines

    def action_walk(self, by: int) -> None:
        """To the knot tied before or after."""
        self._at = min(max(0, self._at + by), len(self._history) - 1)
        self.show()

    def action_row(self, by: int) -> None:
        """To the nearest tied knot in a row before or after."""
        work, progress = self._held.whole, self._held.progress
        number = self._number
        row = work.row_of(number) + by
        here = _column(self._held, number)
        while 1 <= row <= work.rows:
            first, end = work.span(row)
            tied = [other for other in range(first, end) if progress.is_tied(other)]
            if tied:
                nearest = min(tied, key=lambda other: abs(_column(self._held, other) - here))
                self._at = self._history.index(nearest)
                self.show()
                return
            row += by

    def action_choose(self) -> None:
        """This one is wrong."""
        self.dismiss(str(self._number))


def _column(held: Held, number: int) -> int:
    step = held.whole.step(number)
    return step.left if isinstance(step, Tie) else 0
