"""The zone of the strings: all of them as they hang, or those around the pair where there are many."""

from benchmate.bench.zones.view_values import String, View
from benchmate.craft.colours.colour import best_ground, contrast, ink_on
from benchmate.craft.shown_step import Side
from benchmate.display.cells import Line, Span, centred, line
from benchmate.display.palette import STRING_GROUNDS, Palette

NEXT = "next"
"""What stands by the string to pick up next."""
FAINT = 1.5
"""A colour with less contrast than this to what it hangs before gets an outline."""


def hanging(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines. The pair hangs longest, and of the two the one that makes the knot.

    The string to pick up next says so, where there is room.
    """
    ground = best_ground(STRING_GROUNDS[palette], [string.colour for string in view.strings])
    ink = ink_on(ground)
    first, last, cell = _window(view, width)
    pair = {side.position: side for side in (view.left, view.right) if side is not None}
    rows: list[list[Span]] = [[Span(" ", ink, ground)] for _ in range(height)]
    if first > 1:
        rows[0][0] = Span("<", ink, ground, True)
    for position in range(first, last + 1):
        string = view.strings[position - 1]
        follows = view.run is not None and position == view.run.hangs
        spans = _one(string, position, pair.get(position), cell, height, ink, ground, follows=follows)
        for row, span in zip(rows, spans, strict=True):
            row += span
    if last < len(view.strings):
        rows[0].append(Span(f"> of {len(view.strings)}", ink, ground, True))
    return [line(row, width, ground) for row in rows]


def _window(view: View, width: int) -> tuple[int, int, int]:
    """The first and last position shown, and how many cells each string takes."""
    count = len(view.strings)
    for cell in (10, 8, 6, 5, 4, 3):
        if count * cell + 2 <= width and len(str(count)) < cell:
            return 1, count, cell
    shown = max(2, (width - 10) // 4)
    middle = view.left.position if view.left is not None else 1
    first = min(max(1, middle - shown // 2), count - shown + 1)
    return first, first + shown - 1, 4


def _one(
    string: String, position: int, side: Side | None, cell: int, height: int, ink: str, ground: str, *, follows: bool
) -> list[list[Span]]:
    wide = cell - 1
    on = ink_on(string.colour)
    gap = Span(" ", ink, ground)
    number = Span(centred(_numbered(position, side, wide), wide), ink, ground, side is not None)
    tag = Span(centred(string.tag, wide), on, string.colour, side is not None)
    full = Span("█" * wide, string.colour, ground)
    none = Span(" " * wide, ground, ground)
    half = Span("▀" * wide, string.colour, ground)
    if contrast(string.colour, ground) < FAINT and wide > 2:
        full = half = Span("▏" + " " * (wide - 2) + "▕", on, string.colour)
    below = height - 2
    if side is None:
        hangs = [half, *[none] * below][:below] if below > 1 else [none] * below
    elif side.makes:
        hangs = [*[full] * below, half][1:]
    else:
        hangs = [*[full] * below, half, none][2:]
    if follows and below > 1 and wide >= len(NEXT):
        if side is None:
            hangs[1] = Span(centred(NEXT, wide), ink, ground, True)
        else:
            hangs[0] = Span(centred(NEXT, wide), on, string.colour, True)
    return [[span, gap] for span in [_marked(number, side), tag, *hangs]]


def _numbered(position: int, side: Side | None, width: int) -> str:
    """The number over a string: that of the maker and that of the passive string each in its own brackets."""
    if side is None or len(str(position)) + 2 > width:
        return str(position)
    return f">{position}<" if side.makes else f"[{position}]"


def _marked(number: Span, side: Side | None) -> Span:
    return number if side is None else Span(number.text, number.ground, number.ink, True)
