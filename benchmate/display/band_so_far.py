"""The band so far, drawn in half cells: every knot in the colour of the string that made it, rows half a knot apart.

A knot is two cells wide and half a cell high, which comes near its true proportions; where there is much room, four
wide and a whole cell high.
"""

from functools import lru_cache

from benchmate.craft.colour import best_ground, ink_on
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.craft.steps import place_of
from benchmate.craft.work import Work
from benchmate.display.cells import Line, Span, joined, line, width_of
from benchmate.display.palette import STRING_GROUNDS, Palette
from benchmate.families.alpha.work import Picture

MARGIN = 2
LEAST_BESIDE, LEAST_BESIDE_PICTURE = 64, 54
"""Cells the rest of the bench keeps when the band is drawn beside it; of a picture the drawing says more."""


def width_beside(strings: int, width: int, *, picture: bool = False) -> int:
    """How many cells the band of so many strings takes beside a bench `width` cells wide; 0 when there is no room."""
    least, share = (LEAST_BESIDE_PICTURE, 3) if picture else (LEAST_BESIDE, 4)
    for scale in (2, 1):
        wanted = strings * scale + 2 * MARGIN
        if wanted <= width // (share + scale - 1) and width - wanted >= least:
            return wanted
    return 0


def draw(part: Part, progress: Progress, marked: int | None, width: int, height: int, palette: Palette) -> list[Line]:
    """The rows around the `marked` step (numbered through the whole piece) in `height` lines of `width` cells.

    Rows above it are shown as far as there is room, and some of those below when they hold tied knots.
    """
    design, work = part.design, part.work
    ground = best_ground(STRING_GROUNDS[palette], [design.colours[name].value for name in design.strings])
    count = len(design.strings)
    scale = 2 if count * 2 + 2 * MARGIN <= width else 1
    shown = (width - 2 * MARGIN) // scale
    own = None if marked is None or not 0 <= marked - part.first < work.size else marked - part.first
    here = work.row_of(own) if own is not None else work.rows
    first_string = _first_string(part, own, count, shown)
    rows_high = 2 * height if scale == 1 else height
    # An odd row stands in the upper half of its line, so that lines do not change when the picture moves on.
    last = min(work.rows, here + rows_high // 4)
    top = max(1, last - rows_high + 1)
    top += (top - 1) % 2 if scale == 1 else 0
    pictures = [
        _row_colours(part, progress, row, first_string, shown) if row <= work.rows else (None,) * shown
        for row in range(top, top + rows_high)
    ]
    mark = None
    if own is not None and here >= top:
        mark = (here - top, place_of(work.step(own)) - first_string)
    if scale == 2:
        lines = [_whole_cells(colours, width, ground) for colours in pictures]
    else:
        lines = [_half_cells(pictures[at], pictures[at + 1], width, ground) for at in range(0, rows_high, 2)]
    if mark is not None:
        at = mark[0] if scale == 2 else mark[0] // 2
        if at < len(lines):
            wide = scale * _cells_of(work)
            spans = _with_mark(lines[at], MARGIN + mark[1] * scale, max(2, wide), ink_on(ground), ground)
            lines[at] = line(spans, width, ground)
    return lines


def _first_string(part: Part, own: int | None, count: int, shown: int) -> int:
    if count <= shown:
        return 1
    middle = 1 if own is None else place_of(part.work.step(own))
    return min(max(1, middle - shown // 2), count - shown + 1)


def _row_colours(part: Part, progress: Progress, row: int, first: int, shown: int) -> tuple[str | None, ...]:
    """The colour at each string's position in a row: the knot's where one is tied, else None."""
    cells: list[str | None] = [None] * shown
    begin, end = part.work.span(row)
    for number in range(begin, end):
        if not progress.is_tied(part.first + number):
            continue
        colour = part.design.value_of(part.work.maker(number))
        left = place_of(part.work.step(number)) - first
        for at in range(left, left + _cells_of(part.work)):
            if 0 <= at < shown:
                cells[at] = colour
    return tuple(cells)


def _cells_of(work: Work) -> int:
    """How many positions a knot takes: that of a diagonal band lies across its pair."""
    return 1 if isinstance(work, Picture) else 2


@lru_cache(maxsize=4096)
def _half_cells(upper: tuple[str | None, ...], lower: tuple[str | None, ...], width: int, ground: str) -> Line:
    spans = [Span(" " * MARGIN, ground, ground)]
    spans += [Span("▀", one or ground, other or ground) for one, other in zip(upper, lower, strict=True)]
    return line(joined(spans), width, ground)


@lru_cache(maxsize=4096)
def _whole_cells(colours: tuple[str | None, ...], width: int, ground: str) -> Line:
    spans = [Span(" " * MARGIN, ground, ground), *(Span("  ", ground, colour or ground) for colour in colours)]
    return line(joined(spans), width, ground)


def _with_mark(row: Line, column: int, cells: int, ink: str, ground: str) -> list[Span]:
    """The line with a bracketed place where the marked knot sits, and a sign at the edge that points to it."""
    mark = Span("[" + " " * (cells - 2) + "]", ground, ink, True)
    return [
        Span(">", ink, ground, True),
        *_between(row, 1, column),
        mark,
        *_between(row, column + cells, width_of(row)),
    ]


def _between(row: Line, first: int, end: int) -> list[Span]:
    """What stands in the cells `first` to `end` - 1 of a line."""
    found: list[Span] = []
    at = 0
    for span in row:
        text = span.text[max(0, first - at) : max(0, end - at)]
        if text:
            found.append(span._replace(text=text))
        at += len(span.text)
    return found
