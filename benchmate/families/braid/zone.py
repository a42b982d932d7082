"""The slotted disk of a braid: the strand in each slot, and the line of the move."""

from collections.abc import Collection, Sequence
from math import cos, pi, sin

from benchmate.craft.colours.colour import ink_on
from benchmate.craft.design import Design
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.display.cells import Line, Span, joined, line
from benchmate.display.palette import Palette
from benchmate.display.zone import Zone
from benchmate.families.braid.body import Braid, BraidMove
from benchmate.families.braid.work import BraidWork

LEAST, MOST = 26, 52
"""The least and the most cells of the disk's width."""
LEAST_BESIDE = 40
"""The cells that the rest of the bench keeps beside the disk."""
ASIDE = 6
"""How many cells a label of the move may shift when the other label is in its way."""
LABEL = 2
"""The cells kept on each side for a slot's number."""


class DiskZone(Zone):
    """The disk with the strands in its slots."""

    def width_beside(self, part: Part, width: int, height: int) -> int:
        """As wide as a round disk has room for."""
        wanted = min(MOST, 2 * height, width * 9 // 20)
        return wanted if wanted >= LEAST and width - wanted >= LEAST_BESIDE else 0

    def draw(
        self,
        part: Part,
        progress: Progress,
        number: int | None,
        width: int,
        height: int,
        palette: Palette,
        *,
        undone: bool = False,
    ) -> list[Line]:
        """The disk and the move; the line of a move to undo runs back."""
        work, move = part.work, None
        assert isinstance(work, BraidWork)
        if number is not None and 0 <= number - part.first < work.size:
            move = work.step(number - part.first)
            if undone:
                move = move._replace(source=move.target, target=move.source)
        return draw(part.design, progress.hanging, move, width, height, palette)


def draw(
    design: Design, lies: Sequence[int], move: BraidMove | None, width: int, height: int, palette: Palette
) -> list[Line]:
    """Exactly `height` lines of `width` cells. `lies` is the strand in every slot, 0 for an empty slot.

    Slots run clockwise, the first just right of the top. A filled slot shows its number on the strand's colour, an
    empty slot a dot. The strand to move stands between `>` and `<`, the slot it goes to between `[` and `]`.
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
        _draw_line(cells, place(move.source, 0.8), place(move.target, 0.8), ink, ground)
    taken: set[tuple[int, int]] = set()
    # The slots of the move get their place first and whole; a slot without room shows only its colour.
    for slot in sorted(range(1, body.slots + 1), key=lambda slot: (-_weight(slot, lies, move), slot)):
        text, style = _label(design, slot, lies[slot - 1], move, palette)
        aside = range(-ASIDE, ASIDE + 1) if _weight(slot, lies, move) == 2 else (0,)
        for shown in (text, text[:1] if text == "·" else " "):
            spots = _free(place(slot), shown, sorted(aside, key=abs), taken, width, height)
            if spots:
                taken.update(spots)
                for (row, at), sign in zip(spots, shown, strict=True):
                    cells[row][at] = style._replace(text=sign)
                break
    return [line(joined(row), width, ground) for row in cells]


def _free(
    middle: tuple[float, float],
    text: str,
    aside: Sequence[int],
    taken: Collection[tuple[int, int]],
    width: int,
    height: int,
) -> list[tuple[int, int]]:
    """The cells for a text at its place or near it; none when there is no room."""
    row = min(max(0, round(middle[0])), height - 1)
    for by in aside:
        left = min(max(0, round(middle[1] - (len(text) - 1) / 2) + by), width - len(text))
        # Two numbers side by side would read as one.
        apart = range(left - 1, left + len(text) + 1) if len(text) > 1 else (left,)
        if not any((row, at) in taken for at in apart):
            return [(row, at) for at in range(left, left + len(text))]
    return []


def _weight(slot: int, lies: Sequence[int], move: BraidMove | None) -> int:
    if move is not None and slot in (move.source, move.target):
        return 2
    return 1 if lies[slot - 1] else 0


def _label(design: Design, slot: int, strand: int, move: BraidMove | None, palette: Palette) -> tuple[str, Span]:
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


def _draw_line(
    cells: list[list[Span]], start: tuple[float, float], end: tuple[float, float], ink: str, ground: str
) -> None:
    """A straight line of dots between two slots."""
    steps = max(2, round(max(abs(end[0] - start[0]) * 2, abs(end[1] - start[1])) / 2))
    for at in range(steps + 1):
        row = start[0] + (end[0] - start[0]) * at / steps
        column = start[1] + (end[1] - start[1]) * at / steps
        sign = "O" if at == steps else "."
        cells[round(row)][round(column)] = Span(sign, ink, ground, True)
