"""The slotted disk of a braid: which strand lies in which slot, and the way of the one to move."""

from collections.abc import Sequence
from math import cos, pi, sin

from benchmate.bench.cells import Line, Span, line
from benchmate.bench.palette import Palette
from benchmate.craft.colour import ink_on
from benchmate.craft.design import Braid, Design
from benchmate.craft.steps import Move

LEAST, MOST = 26, 52
"""How many cells wide the disk is at least, and at most."""
LEAST_BESIDE = 40
"""Cells the rest of the bench keeps when the disk is drawn beside it."""
LABEL = 2
"""Cells kept for a slot's number on either side."""


def width_beside(width: int, height: int) -> int:
    """How many cells the disk takes beside a bench of that size; 0 when there is no room."""
    wanted = min(MOST, 2 * height, width * 9 // 20)
    return wanted if wanted >= LEAST and width - wanted >= LEAST_BESIDE else 0


def draw(
    design: Design, lies: Sequence[int], move: Move | None, width: int, height: int, palette: Palette
) -> list[Line]:
    """Exactly `height` lines of `width` cells. `lies` is the strand in every slot, 0 where there is none.

    Slots go round clockwise, the first just right of the top. A filled one is its number on its strand's colour, an
    empty one a dot; the strand to move is between `>` and `<`, and where it goes between `[` and `]`.
    """
    body = design.body
    assert isinstance(body, Braid)
    ground, ink = palette.ground, palette.ink
    down = min(height, width // 2) - 1
    middle_row, middle_column = (height - 1) / 2, (width - 1) / 2
    across = down - LABEL
    cells: list[list[Span]] = [[Span(" ", ink, ground)] * width for _ in range(height)]

    def place(slot: int, out: float = 1.0) -> tuple[float, float]:
        angle = 2 * pi * (slot - 0.5) / body.slots
        return middle_row - out * down / 2 * cos(angle), middle_column + out * across * sin(angle)

    if move is not None:
        _draw_way(cells, place(move.source, 0.8), place(move.target, 0.8), ink, ground)
    taken: set[tuple[int, int]] = set()
    # What the move is about is written last, and so over everything else.
    slots = sorted(range(1, body.slots + 1), key=lambda slot: (_weight(slot, lies, move), slot))
    for slot in slots:
        strand = lies[slot - 1]
        text, style = _label(design, slot, strand, move, palette)
        row, column = place(slot)
        left = min(max(0, round(column - (len(text) - 1) / 2)), width - len(text))
        spots = {(round(row), at) for at in range(left, left + len(text))}
        if strand or _weight(slot, lies, move) or not spots & taken:
            taken |= spots
            for at, sign in enumerate(text):
                cells[round(row)][left + at] = style._replace(text=sign)
    return [line(_joined(row), width, ground) for row in cells]


def _weight(slot: int, lies: Sequence[int], move: Move | None) -> int:
    if move is not None and slot in (move.source, move.target):
        return 2
    return 1 if lies[slot - 1] else 0


def _label(design: Design, slot: int, strand: int, move: Move | None, palette: Palette) -> tuple[str, Span]:
    text = str(slot)
    style = Span("", palette.quiet, palette.ground)
    if strand:
        colour = design.value_of(strand)
        style = Span("", ink_on(colour), colour, True)
    if move is not None and slot == move.source:
        return f">{text}<", style
    if move is not None and slot == move.target:
        return f"[{text}]", Span("", palette.ground, palette.ink, True)
    return (f"{text:>2}", style) if strand else ("·", style)


def _draw_way(
    cells: list[list[Span]], start: tuple[float, float], end: tuple[float, float], ink: str, ground: str
) -> None:
    """A straight line of dots, which leaves the labels at its ends alone."""
    steps = max(2, round(max(abs(end[0] - start[0]) * 2, abs(end[1] - start[1])) / 2))
    for at in range(steps + 1):
        row = start[0] + (end[0] - start[0]) * at / steps
        column = start[1] + (end[1] - start[1]) * at / steps
        sign = "O" if at == steps else "."
        cells[round(row)][round(column)] = Span(sign, ink, ground, True)


def _joined(cells: Sequence[Span]) -> list[Span]:
    joined = [cells[0]]
    for cell in cells[1:]:
        if cell[1:] == joined[-1][1:]:
            joined[-1] = joined[-1]._replace(text=joined[-1].text + cell.text)
        else:
            joined.append(cell)
    return joined
