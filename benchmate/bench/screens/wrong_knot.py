"""Choosing the wrong knot, on the band or by walking back."""

from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.zones.now import large
from benchmate.bench.zones.view_values import NEUTRAL
from benchmate.craft import telling
from benchmate.craft.design import Alpha, Diagonal
from benchmate.craft.steps import Led, Move, Tie, Told, place_of
from benchmate.display import band_so_far as band
from benchmate.display.cells import Line, beside, text_line, wrap
from benchmate.store.held import Held


class WrongScreen(LinesScreen[int]):
    """Moves over the tied knots; the result is the number of the one chosen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,backspace,pageup", "walk(-1)", "the knot tied before"),
        Binding("right,pagedown", "walk(1)", "the knot tied after"),
        Binding("up", "row(-1)", "a row back"),
        Binding("down", "row(1)", "a row on"),
        Binding("enter,space", "choose", "this one is wrong"),
        Binding("escape,q,u", "dismiss(None)", "none is wrong"),
    ]

    def __init__(self, bench: Bench, held: Held) -> None:
        """`held` has at least one tied step."""
        super().__init__(bench)
        self._held = held
        self._history = list(held.progress.history)
        self._at = len(self._history) - 1
        self._aim: int | None = None
        """The position from which rows are walked over, so that up and down lead back to the same knot."""

    @property
    def _number(self) -> int:
        return self._history[self._at]

    def lines(self, width: int, height: int) -> list[Line]:
        """The knot looked at in large type, what it means to take it out, and the band with its place."""
        held, number = self._held, self._number
        part, step = held.whole.part_of(number), held.whole.step(number)
        picture: list[Line] = []
        if isinstance(part.design.body, (Diagonal, Alpha)):
            strings, room = len(part.design.strings), width // 3 - 2 * band.MARGIN
            wide = min(room, strings * (2 if 2 * strings <= room else 1)) + 2 * band.MARGIN
            picture = band.draw(part, held.progress, number, wide, height, self.palette)
            width -= wide
        field = NEUTRAL
        if not isinstance(step, Told):
            field = part.design.value_of(step.strand if isinstance(step, Move) else step.knotting)
        out = len(held.progress.must_come_out(number))
        knotted = isinstance(step, (Tie, Led))
        kind = "knot" if knotted else "step"
        count = "only this one must come out" if out == 1 else f"{out} {kind}s must come out, the last one first"
        place = f"{kind} {held.order.place[number] + 1} of {held.whole.size}"
        texts = [
            (f"Which is wrong? {f'row {step.row}, ' if knotted else ''}{place}", True),
            ("" if isinstance(step, Told) else telling.crossed(part.design, step), False),
            (f"To reach it {count}.", True),
            ("left/right: walk", False),
            ("up/down: by row", False),
            ("enter: this one", False),
            ("escape: none", False),
        ]
        ink, quiet, ground = self.palette.ink, self.palette.quiet, self.palette.ground
        below = [
            text_line(part, width, ink if bold else quiet, ground, bold=bold)
            for text, bold in texts
            for part in wrap(text, max(1, width - 2))
        ]
        lines = [*large(telling.name_of(step), width, max(1, height - len(below)), field), *below][:height]
        return beside([lines, picture]) if picture else lines

    def action_walk(self, by: int) -> None:
        """To the knot tied before or after."""
        self._aim = None
        self._at = min(max(0, self._at + by), len(self._history) - 1)
        self.show()

    def action_row(self, by: int) -> None:
        """To the nearest tied knot in a row before or after."""
        work, progress = self._held.whole, self._held.progress
        number = self._number
        row = work.row_of(number) + by
        self._aim = self._aim or place_of(work.step(number))
        aim = self._aim
        while 1 <= row <= work.rows:
            first, end = work.span(row)
            tied = [other for other in range(first, end) if progress.is_tied(other)]
            if tied:
                nearest = min(tied, key=lambda other: abs(place_of(work.step(other)) - aim))
                self._at = self._history.index(nearest)
                self.show()
                return
            row += by

    def action_choose(self) -> None:
        """This one is wrong."""
        self.dismiss(self._number)
