"""Chooses the wrong knot, on the band or by walking back."""

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.zones.edges import with_edges
from benchmate.bench.zones.large_field import large
from benchmate.craft.wording import step_words
from benchmate.display.cells import Line, beside, clipped, text_line
from benchmate.families.registry import zone_of
from benchmate.piece_questions import knot_choices
from benchmate.store.open_piece import OpenPiece

QUESTION = "Which is wrong?"


class WrongKnotScreen(LinesScreen[int]):
    """Moves over the tied knots; the result is the number of the chosen one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,backspace,pageup", "walk(-1)", "the knot tied before"),
        Binding("right,pagedown", "walk(1)", "the knot tied after"),
        Binding("up", "row(-1)", "a row back"),
        Binding("down", "row(1)", "a row on"),
        Binding("enter,space", "choose", "this one is wrong"),
        Binding("escape,q,u", "dismiss(None)", "none is wrong"),
    ]

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` has at least one tied step."""
        super().__init__(bench)
        self._held = held
        self._history = list(held.progress.history)
        self._at = len(self._history) - 1
        self._aim: int | None = None
        """The position to keep to while moving by rows, so that up and then down return to the same knot."""

    @property
    def _number(self) -> int:
        return self._history[self._at]

    def lines(self, width: int, height: int) -> list[Line]:
        """The knot in large type, how many to undo to reach it, and the band with its place."""
        held, number = self._held.on_screen(self.depth), self._number
        part, step = held.whole.part_of(number), held.whole.step(number)
        family = part.design.family
        zone = zone_of(family)
        picture: list[Line] = []
        wide = zone.width_for_choosing(part, width) if zone is not None else 0
        if zone is not None and wide:
            picture = zone.draw(part, held.progress, number, wide, height, self.palette)
            width -= wide
        string = family.step_view.field(step)
        field = self.palette.field if string is None else part.design_at(number).value_of(string)
        texts = [
            (f"{QUESTION} {self._place}", True),
            (step_words.crossed(part, step), False),
            (self._to_reach, True),
            ("left/right: walk", False),
            ("up/down: by row", False),
            ("enter: this one", False),
            ("escape: none", False),
        ]
        ink, quiet, ground = self.palette.ink, self.palette.quiet, self.palette.ground
        below = [
            text_line(part, width, ink if bold else quiet, ground, bold=bold)
            for text, bold in texts
            for part in clipped(text, max(1, width - 2), max(1, height // 3))
        ]
        lines = [*large(step_words.name_of(part, step), width, max(1, height - len(below)), field), *below][:height]
        lines = with_edges(lines, [] if string is None else [field], ground)
        return beside([lines, picture]) if picture else lines

    @property
    def _place(self) -> str:
        """The row and the number of the knot."""
        return knot_choices.tied_knot(self._held, self._number)

    @property
    def _to_reach(self) -> str:
        """How many to undo to reach the knot."""
        return knot_choices.how_many_out(self._held, self._number)

    def heard_first(self) -> Sequence[str]:
        """The question, the knot, and the keys."""
        return [QUESTION, *self.heard(), "Left or right: walk, up or down: by row, enter: this one, escape: none"]

    def heard(self) -> Sequence[str]:
        """The knot, and how many to undo to reach it."""
        whole = self._held.whole
        part, step = whole.part_of(self._number), whole.step(self._number)
        crossed = step_words.crossed(part, step)
        knot = ", ".join(filter(None, (self._place, step_words.name_of(part, step).rstrip("."), crossed)))
        return [knot, self._to_reach]

    def action_walk(self, by: int) -> None:
        """Moves to the knot tied before or after."""
        self._aim = None
        self._at = min(max(0, self._at + by), len(self._history) - 1)
        self.show()

    def action_row(self, by: int) -> None:
        """Moves to the nearest tied knot in a row before or after."""
        work, progress = self._held.whole, self._held.progress
        number = self._number
        row = work.row_of(number) + by
        self._aim = self._aim or self._place_of(number)
        aim = self._aim
        while 1 <= row <= work.rows:
            first, end = work.span(row)
            tied = [other for other in range(first, end) if progress.is_tied(other)]
            if tied:
                nearest = min(tied, key=lambda other: abs(self._place_of(other) - aim))
                self._at = self._history.index(nearest)
                self.show()
                return
            row += by

    def _place_of(self, number: int) -> int:
        """The position of a step across the band."""
        part = self._held.whole.part_of(number)
        return part.design.family.words.place_across(part.work.step(number - part.first))

    def action_choose(self) -> None:
        """Returns the chosen knot."""
        self.dismiss(self._number)
