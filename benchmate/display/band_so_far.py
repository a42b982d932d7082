"""The band so far, drawn in half cells: every knot in the colour of the string that made it, rows half a knot apart.

A knot is two cells wide and half a cell high, close to its true proportions; with plenty of room, four cells wide and
a whole cell high.
"""

from collections.abc import Mapping
from functools import lru_cache

from benchmate.craft.colours.apart import Shown
from benchmate.craft.colours.colour import BLACK, WHITE, best_ground, edge_between, ink_on, is_like
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.craft.steps_in_doubt import InDoubt
from benchmate.craft.wording.trouble_words import NOT_KNOWN
from benchmate.display.cells import Line, Span, joined, line, width_of
from benchmate.display.palette import Palette
from benchmate.display.zone import Zone

MARGIN = 2
PATTERNS = " ░▒▓"
"""The patterns of knots that share a colour. Where more than four do, only their names and tags tell them apart."""
IN_DOUBT = -1
"""In place of a pattern: nobody knows the colour of the knot."""

Row = tuple[Shown | None, ...]
"""How the knot at each position of a row is shown; None where none is tied."""


class BandSoFar(Zone):
    """The rows around the marked step: as many above it as fit, and a few tied ones below."""

    def __init__(self, *, least: int, share: int) -> None:
        """Leave at least `least` cells to the rest of the bench, and give the band at most 1/`share` of the width."""
        self._least = least
        self._share = share

    def width_beside(self, part: Part, width: int, height: int) -> int:
        """Two cells for each string, or one."""
        return width_beside(len(part.design.strings), width, least=self._least, share=self._share)

    def width_for_choosing(self, part: Part, width: int) -> int:
        """At most a third of the screen."""
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
        """The step is marked in its place, whether it is to be done or undone."""
        return draw(part, progress, number, width, height, palette)


def width_beside(strings: int, width: int, *, least: int, share: int) -> int:
    """The width a band of `strings` strings needs beside a bench `width` cells wide; 0 when there is no room."""
    for scale in (2, 1):
        wanted = strings * scale + 2 * MARGIN
        if wanted <= width // (share + scale - 1) and width - wanted >= least:
            return wanted
    return 0


def draw(part: Part, progress: Progress, marked: int | None, width: int, height: int, palette: Palette) -> list[Line]:
    """The rows around the `marked` step (numbered through the whole piece) in `height` lines of `width` cells.

    As many rows above it as fit are shown, and a few below it. Where a thread is like the ground, the ground shows an
    edge beside it.
    """
    design, work = part.design, part.work
    threads = [design.colours[name] for name in sorted(design.family.threads(design.body))]
    values = [value for thread in threads for value in thread.values]
    ground = best_ground(palette.string_grounds, values)
    like = tuple(value for value in values if is_like(value, ground))
    count = len(design.strings)
    scale = 2 if count * 2 + 2 * MARGIN <= width else 1
    # Half a cell has no room for a pattern or a sign.
    whole = scale == 2 or any(thread.pattern for thread in threads) or isinstance(work, InDoubt)
    shown = (width - 2 * MARGIN) // scale
    own = None if marked is None or not 0 <= marked - part.first < work.size else marked - part.first
    here = work.row_of(own) if own is not None else work.rows
    first_string = _first_string(part, own, count, shown)
    rows_high = height if whole else 2 * height
    # An odd row always takes the upper half of its line, so lines stay the same when the picture scrolls.
    last = min(work.rows, here + rows_high // 4)
    top = max(1, last - rows_high + 1)
    top += 0 if whole else (top - 1) % 2
    looks = {
        (thread.name, at): Shown(thread.value_at(at), thread.pattern)
        for thread in threads
        for at in range(max(1, len(thread.sequence)))
    }
    pictures = [
        _row_looks(part, progress, row, first_string, shown, looks, Shown(palette.field, IN_DOUBT))
        if row <= work.rows
        else (None,) * shown
        for row in range(top, top + rows_high)
    ]
    step = 1 if whole else 2
    lines = []
    for at in range(0, rows_high, step):
        above = pictures[at - 1] if like and at else ()
        below = pictures[at + step] if like and at + step < rows_high else ()
        here_too = pictures[at : at + step]
        lines.append(_cells(here_too[0], here_too[-1], above, below, like, scale, whole, width, ground))
    if own is not None and here >= top and (here - top) // step < len(lines):
        at = (here - top) // step
        column = MARGIN + (_place_of(part, own) - first_string) * scale
        spans = _with_mark(lines[at], column, max(2, scale * work.positions_per_step), ink_on(ground), ground)
        lines[at] = line(spans, width, ground)
    return lines


def _first_string(part: Part, own: int | None, count: int, shown: int) -> int:
    if count <= shown:
        return 1
    middle = 1 if own is None else _place_of(part, own)
    return min(max(1, middle - shown // 2), count - shown + 1)


def _row_looks(
    part: Part,
    progress: Progress,
    row: int,
    first: int,
    shown: int,
    looks: Mapping[tuple[str, int], Shown],
    in_doubt: Shown,
) -> Row:
    """How the tied knot at each string's position in a row looks, or None.

    `looks` is by the names of the colours and the parts of their sequences; `in_doubt` is how a knot looks of which
    nobody knows the colour.
    """
    cells: list[Shown | None] = [None] * shown
    begin, end = part.work.span(row)
    for number in range(begin, end):
        if not progress.is_tied(part.first + number):
            continue
        if part.work.colour_in_doubt(number):
            look = in_doubt
        elif part.work.knotting(number):
            look = looks[part.design.body.colour_of(part.work.knotting(number)), part.along.made(number)]
        else:
            # It was left out: a gap.
            continue
        left = _place_of(part, number) - first
        for at in range(left, left + part.work.positions_per_step):
            if 0 <= at < shown:
                cells[at] = look
    return tuple(cells)


def _place_of(part: Part, number: int) -> int:
    """A step's position across the band; `number` counts within the part."""
    return part.design.family.words.place_across(part.work.step(number))


@lru_cache(maxsize=4096)
def _cells(
    upper: Row,
    lower: Row,
    above: Row,
    below: Row,
    like: tuple[str, ...],
    scale: int,
    whole: bool,
    width: int,
    ground: str,
) -> Line:
    """A line of the picture: one row in whole cells, or two in half cells.

    `above` and `below` are the rows next to it, where the colours `like` the ground need an edge.
    """
    edge = edge_between(ground, *like) if like else ground

    def stands(row: Row, at: int) -> bool:
        """Whether a knot that is like the ground is there."""
        cell = row[at] if 0 <= at < len(row) else None
        return cell is not None and cell.value in like

    def gap(at: int, sides: str) -> Span:
        """A cell of ground, with an edge on a side where a knot begins that is like it."""
        beside = {"▏": at - 1, "▕": at + 1}
        for sign in sides:
            if stands(upper, beside[sign]) or stands(lower, beside[sign]):
                return Span(sign, edge, ground)
        sign = "▔" if stands(above, at) else "▁" if stands(below, at) else " "
        return Span(sign, edge if sign != " " else ground, ground)

    spans = [Span(" " * (MARGIN - 1), ground, ground), gap(-1, "▕")]
    for at, (one, other) in enumerate(zip(upper, lower, strict=True)):
        if one is None and other is None:
            spans += [gap(at, "▏"), gap(at, "▕")] if scale == 2 else [gap(at, "▏▕")]
        elif whole and one is not None:
            sign = NOT_KNOWN if one.pattern == IN_DOUBT else PATTERNS[one.pattern % len(PATTERNS)]
            spans.append(Span(sign * scale, ground if sign == " " else ink_on(one.value), one.value))
        elif (one is None and stands(lower, at)) or (other is None and stands(upper, at)):
            spans.append(Span("─", edge, ground))
        else:
            spans.append(Span("▀", one.value if one else ground, other.value if other else ground))
    spans.append(gap(len(upper), "▏"))
    return line(joined(spans), width, ground)


def _with_mark(row: Line, column: int, cells: int, ink: str, ground: str) -> list[Span]:
    """The line with brackets around the marked knot, and a pointer at its left edge.

    The mark is half black on white, half white on black, so that it stands out from threads of every colour.
    """
    half = (cells + 1) // 2
    return [
        Span(">", ink, ground, True),
        *_between(row, 1, column),
        Span("[" + " " * (half - 1), BLACK, WHITE, True),
        Span(" " * (cells - half - 1) + "]", WHITE, BLACK, True),
        *_between(row, column + cells, width_of(row)),
    ]


def _between(row: Line, first: int, end: int) -> list[Span]:
    """The spans in the cells `first` to `end` - 1 of a line."""
    found: list[Span] = []
    at = 0
    for span in row:
        text = span.text[max(0, first - at) : max(0, end - at)]
        if text:
            found.append(span._replace(text=text))
        at += len(span.text)
    return found
