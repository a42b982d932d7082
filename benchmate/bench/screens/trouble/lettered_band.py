"""A part of the band for looking closely: a line for each row, with its number, and a letter in every knot.

The letter names the colour, so that the band can be read in any number of colours. A sign before the letter marks what
is special about a knot.
"""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from benchmate.craft.colours.colour import BLACK, WHITE, best_ground, ink_on
from benchmate.craft.start_band_finish import WholePiece
from benchmate.display.cells import Line, Span, joined, line
from benchmate.display.palette import Palette
from benchmate.piece_questions.trouble.knot_places import place_across

HERE, CHOSEN, WRONG, CHANGED, OTHERWISE = "?", "[", "x", "*", "!"
"""The signs: the knot whose colour is asked, the one at the cursor, a wrong one, one changed on purpose, and one in
another colour than charted."""
LEFT_OUT = "-"
"""Stands in place of the letter where a knot was left out."""


class Band(NamedTuple):
    """What of a band is drawn: its piece, in the colours of the screen, which steps, and their signs.

    `letters` are by the names of the colours. `row` is the one to be seen in any case, two thirds down; `at` the
    position across. With `top`, the picture begins at that row instead.
    """

    piece: WholePiece
    letters: Mapping[str, str]
    is_there: Callable[[int], bool]
    signs: Mapping[int, str]
    row: int
    at: int = 1
    top: int | None = None


def width_wanted(piece: WholePiece, most: int) -> int:
    """The cells that a band takes of at most so many: four for a knot where there is room, else two."""
    margin, strings = _margin(piece), len(piece.strings)
    return min(most, margin + (2 if margin + 2 * strings <= most else 1) * strings)


def rows_shown(band: Band, height: int) -> tuple[int, int]:
    """The first and the last row in a picture of so many lines."""
    rows = band.piece.main.work.rows
    top = band.row - (2 * height) // 3 if band.top is None else band.top
    first = min(max(1, top), max(1, rows - height + 1))
    return first, min(rows, first + height - 1)


def draw_band(band: Band, width: int, height: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines of exactly `width` cells around the row in question."""
    piece, main = band.piece, band.piece.main
    margin, strings = _margin(piece), len(piece.strings)
    scale = 2 if margin + 2 * strings <= width else 1
    shown = max(1, min(strings, (width - margin) // scale))
    begin = min(max(1, band.at - shown // 2), strings - shown + 1)
    design = main.design
    values = [value for name in design.family.threads(design.body) for value in design.colours[name].values]
    ground = best_ground(palette.string_grounds, values)
    first, last = rows_shown(band, height)
    lines = []
    for row in range(first, last + 1):
        here = row == band.row
        number = f"{'>' if here else ' '}{row:>{margin - 2}} "
        cells = [Span(" ", ground, ground)] * (shown * scale)
        begins, ends = main.work.span(row)
        for step in range(main.first + begins, main.first + ends):
            if band.is_there(step):
                _put(cells, _knot(band, step, scale, ground), (place_across(piece, step) - begin) * scale)
        spans = [Span(number, ink_on(ground), ground, here), *joined(cells)]
        lines.append(line(spans, width, ground))
    return [*lines, *[line([], width, ground)] * (height - len(lines))]


def _put(cells: list[Span], knot: list[Span], at: int) -> None:
    for offset, cell in enumerate(knot):
        if 0 <= at + offset < len(cells):
            cells[at + offset] = cell


def _knot(band: Band, step: int, scale: int, ground: str) -> list[Span]:
    """The cells of a knot, one by one: its sign, its letter, and colour."""
    main = band.piece.main
    sign = band.signs.get(step, " ")
    if sign == HERE:
        asked = [Span(CHOSEN, BLACK, WHITE, True), Span(HERE, WHITE, BLACK, True)]
        return asked if scale == 1 else [asked[0], Span(" ", BLACK, WHITE), asked[1], Span("]", WHITE, BLACK, True)]
    if band.piece.how_made(step) is None:
        value, letter = ground, LEFT_OUT
    else:
        string = band.piece.knotting(step)
        value = main.design_at(step).value_of(string)
        letter = band.letters[main.design.body.colour_of(string)]
    ink = ink_on(value)
    marked = sign != " "
    cells = [Span(sign, WHITE, BLACK, True) if marked else Span(" ", ink, value), Span(letter, ink, value, marked)]
    end = Span("]", WHITE, BLACK, True) if sign == CHOSEN else Span(" ", ink, value)
    return cells if scale == 1 else [*cells, Span(" ", ink, value), end]


def _margin(piece: WholePiece) -> int:
    """The cells of a row's number, a pointer before it and a space after it."""
    return len(str(piece.main.work.rows)) + 2
