"""The band so far, drawn in half cells: every knot in the colour of the string that made it, rows half a knot apart.

A knot is two cells wide and half a cell high, which comes near its true proportions; where there is much room, four
wide and a whole cell high.
"""

from functools import lru_cache

from benchmate.craft.colours.colour import best_ground, ink_on
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.display.cells import Line, Span, joined, line, width_of
from benchmate.display.palette import STRING_GROUNDS, Palette
from benchmate.display.zone import Zone

MARGIN = 2


class BandSoFar(Zone):
    """The rows around the marked step; those above it as far as there is room, and some below when they are tied."""

    def __init__(self, *, least: int, share: int) -> None:
        """The rest of the bench keeps `least` cells, and the band takes at most one of `share` parts of the width."""
        self._least = least
        self._share = share

    def width_beside(self, part: Part, width: int, height: int) -> int:
        """As wide as the strings, two cells each or one."""
        return width_beside(len(part.design.strings), width, least=self._least, share=self._share)

    def width_for_choosing(self, part: Part, width: int) -> int:
        """A third of the screen at the most."""
        strings, room = len(part.design.strings), width // 3 - 2 * MARGIN
        return min(room, strings * (2 if 2 * strings <= room else 1)) + 2 * MARGIN

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
        """Whether the step is to be done or undone, it is marked in its place."""
        return draw(part, progress, number, width, height, palette)


def width_beside(strings: int, width: int, *, least: int, share: int) -> int:
    """How many cells the band of so many strings takes beside a bench `width` cells wide; 0 when there is no room."""
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
        mark = (here - top, _place_of(part, own) - first_string)
    if scale == 2:
        lines = [_whole_cells(colours, width, ground) for colours in pictures]
    else:
        lines = [_half_cells(pictures[at], pictures[at + 1], width, ground) for at in range(0, rows_high, 2)]
    if mark is not None:
        at = mark[0] if scale == 2 else mark[0] // 2
        if at < len(lines):
            wide = scale * work.positions_per_step
            spans = _with_mark(lines[at], MARGIN + mark[1] * scale, max(2, wide), ink_on(ground), ground)
            lines[at] = line(spans, width, ground)
    return lines


def _first_string(part: Part, own: int | None, count: int, shown: int) -> int:
    if count <= shown:
        return 1
    middle = 1 if own is None else _place_of(part, own)
    return min(max(1, middle - shown // 2), count - shown + 1)


def _row_colours(part: Part, progress: Progress, row: int, first: int, shown: int) -> tuple[str | None, ...]:
    """The colour at each string's position in a row: the knot's where one is tied, else None."""
    cells: list[str | None] = [None] * shown
    begin, end = part.work.span(row)
    for number in range(begin, end):
        if not progress.is_tied(part.first + number):
            continue
        colour = part.design.value_of(part.work.knotting(number))
        left = _place_of(part, number) - first
        for at in range(left, left + part.work.positions_per_step):
            if 0 <= at < shown:
                cells[at] = colour
    return tuple(cells)


def _place_of(part: Part, number: int) -> int:
    """The position of a step across the band; `number` counts within the part."""
    return part.design.family.words.place_across(part.work.step(number))


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
