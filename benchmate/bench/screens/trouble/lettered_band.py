"""A part of the band for looking closely: a line for each row, with its number, and a letter in every knot.

The letter names the colour, so that the band can be read in any number of colours. A sign before the letter marks what
is special about a knot. A line above says what is drawn, and one below what those signs mean that are there.
"""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from benchmate.craft.colours.colour import BLACK, WHITE, best_ground, ink_on
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording.trouble_words import NO_KNOT
from benchmate.display.cells import Line, Span, clipped, joined, line
from benchmate.display.palette import Palette
from benchmate.piece_questions.trouble.knot_places import colour_shown, place_across

HERE, CHOSEN, WRONG, CHANGED, OTHERWISE = "?", "[", "x", "*", "!"
"""The signs: the knot whose colour is asked, the one at the cursor, a wrong one, one changed on purpose, and one in
another colour than charted."""
LEFT_OUT = "-"
"""Stands in place of the letter where a knot was left out."""
NONE: Mapping[int, str | None] = MappingProxyType({})
UNSAID: Mapping[str, str] = MappingProxyType({})


class Band(NamedTuple):
    """What of a band is drawn: its piece, in the colours of the screen, which steps, and their signs.

    `letters` are by the names of the colours. `row` is the one to be seen in any case, two thirds down; `at` the
    position across. With `top`, the picture begins at that row instead. `title` says in a few words what is drawn,
    `says` what the signs mean. Knots in `shown` show a colour that the maker told, or none.
    """

    piece: WholePiece
    letters: Mapping[str, str]
    is_there: Callable[[int], bool]
    signs: Mapping[int, str]
    row: int
    at: int = 1
    top: int | None = None
    title: str = ""
    says: Mapping[str, str] = UNSAID
    shown: Mapping[int, str | None] = NONE


class Drawn(NamedTuple):
    """The rows of a band, and the signs in them."""

    lines: list[Line]
    signs: frozenset[str]


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
    """Exactly `height` lines of exactly `width` cells: the title, rows around the one in question, and the legend."""
    above = titled(band.title, width, palette)
    rows = draw_rows(band, width, max(1, height - len(above)), palette)
    below = legend(rows.signs, band.says, width, palette)
    if below:
        rows = draw_rows(band, width, max(1, height - len(above) - len(below)), palette)
    return [*above, *rows.lines, *below][:height]


def titled(title: str, width: int, palette: Palette) -> list[Line]:
    """The lines that say what is drawn; none where nothing does."""
    parts = clipped(title, width, 2) if title else []
    return [line([Span(part, palette.ink, palette.head, True)], width, palette.head) for part in parts]


def legend(signs: Iterable[str], says: Mapping[str, str], width: int, palette: Palette) -> list[Line]:
    """The lines that say what the signs mean; none where that is said of none of them."""
    drawn = set(signs)
    parts = [f"{sign} {words}" for sign, words in {**says, LEFT_OUT: NO_KNOT}.items() if sign in drawn]
    lines = [""]
    for part in parts:
        longer = f"{lines[-1]}  {part}".strip()
        lines = [*lines[:-1], longer] if len(longer) <= width else [*lines, *clipped(part, width, 2)]
    return [line([Span(text, palette.quiet, palette.ground)], width, palette.ground) for text in lines if text]


def draw_rows(band: Band, width: int, height: int, palette: Palette) -> Drawn:
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
    lines: list[Line] = []
    signs: set[str] = set()
    for row in range(first, last + 1):
        here = row == band.row
        number = f"{'>' if here else ' '}{row:>{margin - 2}} "
        cells = [Span(" ", ground, ground)] * (shown * scale)
        begins, ends = main.work.span(row)
        for step in range(main.first + begins, main.first + ends):
            at = (place_across(piece, step) - begin) * scale
            if band.is_there(step) and -scale < at < len(cells):
                _put(cells, _knot(band, step, scale, ground), at)
                signs.update((band.signs.get(step, " "), *([LEFT_OUT] if _colour_of(band, step) is None else [])))
        spans = [Span(number, ink_on(ground), ground, here), *joined(cells)]
        lines.append(line(spans, width, ground))
    return Drawn([*lines, *[line([], width, ground)] * (height - len(lines))], frozenset(signs))


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
    colour = _colour_of(band, step)
    if colour is None:
        value, letter = ground, LEFT_OUT
    else:
        told = step in band.shown
        value = main.design.colours[colour].value if told else main.design_at(step).value_of(band.piece.knotting(step))
        letter = band.letters[colour]
    ink = ink_on(value)
    marked = sign != " "
    cells = [Span(sign, WHITE, BLACK, True) if marked else Span(" ", ink, value), Span(letter, ink, value, marked)]
    end = Span("]", WHITE, BLACK, True) if sign == CHOSEN else Span(" ", ink, value)
    return cells if scale == 1 else [*cells, Span(" ", ink, value), end]


def _colour_of(band: Band, step: int) -> str | None:
    """The name of the colour that a knot shows; None where there is none."""
    if step in band.shown:
        return band.shown[step]
    return colour_shown(band.piece, step)


def _margin(piece: WholePiece) -> int:
    """The cells of a row's number, a pointer before it and a space after it."""
    return len(str(piece.main.work.rows)) + 2
