"""A drawing in terminal cells: two squares of colour in each cell, or signs that tell the colours apart.

A cell is about twice as high as wide, so half a cell is a square. One string's part of one row of a diagonal band is
nearly a square too (1.225 by 1.3 mm). It takes one square or four in colour, and two cells by one in signs.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from benchmate.craft.drawing import Layout
from benchmate.craft.knots import Knot
from benchmate.display.cells import DEFAULT_COLOUR, Line, Span, width_of
from benchmate.draw.shapes import shade

Squares = list[list[str | None]]
"""Rows of squares: each a colour, or None for the ground."""
Shade = tuple[str, int]
"""The name of a colour, and the part of its sequence that shows; 0 where the thread is not variegated."""

_LEANS = {"right": "\\", "left": "/"}


class Image(NamedTuple):
    """A whole drawing in lines of equal width. `rows` has, for each line, the last row that starts in it.

    `reduction` is how many strings and rows (slots of a braid) one square or pair of signs stands for: 1 when nothing
    is left out.
    """

    lines: list[Line]
    rows: list[int]
    reduction: int

    @property
    def width(self) -> int:
        """The width of the lines in cells."""
        return width_of(self.lines[0])


def in_colour(layout: Layout, across: int, down: int, width: int, ground: str, *, shaded: bool) -> Image:
    """The drawing in squares, `across` by `down` for each string or column in a row, or fewer if it is too wide.

    One cell of the `ground` is left free on each side. Knots are `shaded` where a darker colour is never taken for that
    of another thread.
    """
    room = max(1, width - 2)
    if layout.crosses:
        squares, reduction = _moves_in_squares(layout, across, down, room)
    else:
        reduction = -(-len(layout.first) // room)
        squares = _band_squares(layout, across, down, shaded) if reduction == 1 else _scaled_values(layout, reduction)
        first, last = (
            [None if name is None else layout.value_of(name, part) for name, part in hanging] for hanging in layout.ends
        )
        squares = squares if reduction > 1 else [*_tails(layout, across, first), *squares]
        squares += _tails(layout, across, last) if reduction == 1 else []
    if len(squares) % 2:
        squares.append([None] * len(squares[0]))
    lines = [
        (
            Span(" ", DEFAULT_COLOUR, ground),
            *(Span("▀", one or ground, other or ground) for one, other in zip(*squares[at : at + 2], strict=True)),
            Span(" ", DEFAULT_COLOUR, ground),
        )
        for at in range(0, len(squares), 2)
    ]
    above = 0 if reduction > 1 and not layout.crosses else 2
    share = down if reduction == 1 or layout.crosses else 1 / reduction
    return Image(lines, [_row(layout, (2 * at + 1 - above) / share) for at in range(len(lines))], reduction)


def _row(layout: Layout, before: float) -> int:
    return min(max(1, int(before) + 1), layout.rows)


def in_signs(layout: Layout, tags: Mapping[Shade, str], width: int) -> Image:
    """The drawing in signs, with a two-cell tag for each colour.

    A knot across two positions is its tag between its half hitches (`\\` to the right, `/` to the left). A knot in one
    position is its tag after the side it leans to. If that is too wide, each tag alone stands for several knots.
    """
    places = len(layout.first)
    if layout.crosses:
        wide = 2 if 2 * places <= width else 1
        reduction = -(-places // width) if wide == 1 else 1
        lines = _moves_in_signs(layout, tags, min(width, places * wide))
        return Image(*_with_ends(layout, tags, lines, min(width, places * wide)), reduction)
    full = 2 if layout.knot_across == 2 else 3
    if places * full <= width:
        lines = _knot_signs(layout, tags, full)
        return Image(*_with_ends(layout, tags, lines, places * full), 1)
    reduction = -(-2 * places // max(2, width))
    squares = _scaled(layout, reduction)
    text = ["".join("  " if shade is None else tags[shade] for shade in row)[:width] for row in squares]
    rows = [_row(layout, at * reduction) for at in range(len(text))]
    return Image([(Span(line),) for line in text], rows, reduction)


def _with_ends(layout: Layout, tags: Mapping[Shade, str], lines: list[str], width: int) -> tuple[list[Line], list[int]]:
    """The lines, with the hanging strings' colours above and below them: tags read downwards."""
    above, below = (
        [
            "".join(_spread(layout, [tags[name, part][at] if name else " " for name, part in hanging], width))
            for at in (0, 1)
        ]
        for hanging in layout.ends
    )
    text = [*above, *lines, *below]
    rows = [_row(layout, at - 2) for at in range(len(text))]
    return [(Span(line),) for line in text], rows


def _spread(layout: Layout, signs: Sequence[str], width: int) -> list[str]:
    """Each sign over the middle of its string."""
    line = [" "] * width
    for at, sign in enumerate(signs):
        if sign != " ":
            line[_column(at, len(signs), width) + (layout.knot_across == 1)] = sign
    return line


def _column(at: int, places: int, width: int) -> int:
    return at * width // places


def _band_squares(layout: Layout, across: int, down: int, shaded: bool) -> Squares:
    """Every knot in its colour, and waiting strings one square wide.

    If `shaded`, a knot is darker at the corners it leans away from.
    """
    grid: Squares = [[None] * (len(layout.first) * across) for _ in range(layout.rows * down)]
    knot_wide = across * layout.knot_across
    faces: dict[tuple[Knot, str], Squares] = {}
    for each in layout.knots:
        left = (each.place - 1) * across
        kind = each.knot, layout.value_of(each.colour, each.part)
        if kind not in faces:
            faces[kind] = list(_face(*kind, knot_wide, down, shaded))
        for at, squares in enumerate(faces[kind]):
            grid[(each.row - 1) * down + at][left : left + knot_wide] = squares
    for waits in layout.waits if across > 1 else ():
        for at in range(down):
            value = layout.value_of(waits.colour, waits.part)
            grid[(waits.row - 1) * down + at][_hangs(layout, waits.place, across)] = value
    return grid


def _face(knot: Knot, value: str, wide: int, high: int, shaded: bool) -> Iterator[list[str | None]]:
    """The rows of squares of one knot."""
    plain = not shaded or wide < 4 or high < 2
    for row in range(high):
        squares: list[str | None] = [value] * wide
        if not plain and row in (0, high - 1):
            leans = knot.halves[0 if row == 0 else 1] == "right"
            # The upper half hitch runs down towards its side, so the upper corner on that side is dark.
            first = row == 0
            squares[-1 if leans == first else 0] = shade(value)
        yield squares


def _hangs(layout: Layout, place: int, across: int) -> int:
    """The square of a hanging string: the middle one of its place or, of two, the one nearer the band's middle."""
    extra = 1 if 2 * place > len(layout.first) else 0
    return (place - 1) * across + (across - extra) // 2


def _tails(layout: Layout, across: int, hanging: Sequence[str | None]) -> Squares:
    """The values of hanging strings, each where it hangs."""
    row: list[str | None] = [None] * (len(hanging) * across)
    for place, value in enumerate(hanging, 1):
        row[_hangs(layout, place, across)] = value
    return [row, list(row)]


def _scaled(layout: Layout, reduction: int) -> list[list[Shade | None]]:
    """One shade for each `reduction` strings and rows: the colour that fills most of it, of equals the first."""
    counts: dict[tuple[int, int], Counter[Shade]] = {}
    for each in layout.knots:
        for place in range(each.place - 1, each.place - 1 + layout.knot_across):
            counts.setdefault(((each.row - 1) // reduction, place // reduction), Counter())[each.colour, each.part] += 1
    across, down = -(-len(layout.first) // reduction), -(-layout.rows // reduction)
    found: list[list[Shade | None]] = [[None] * across for _ in range(down)]
    for (row, column), shades in counts.items():
        found[row][column] = shades.most_common(1)[0][0]
    return found


def _scaled_values(layout: Layout, reduction: int) -> Squares:
    squares = _scaled(layout, reduction)
    return [[None if shade is None else layout.value_of(*shade) for shade in row] for row in squares]


def _knot_signs(layout: Layout, tags: Mapping[Shade, str], wide: int) -> list[str]:
    grid = [[" "] * (len(layout.first) * wide) for _ in range(layout.rows)]
    for each in layout.knots:
        first, second = (_LEANS[side] for side in each.knot.halves)
        signs = first + tags[each.colour, each.part] + (second if wide == 2 else "")
        left = (each.place - 1) * wide
        grid[each.row - 1][left : left + len(signs)] = signs
    for waits in layout.waits:
        grid[waits.row - 1][(waits.place - 1) * wide] = "|"
    return ["".join(row) for row in grid]


def _moves_in_squares(layout: Layout, across: int, down: int, room: int) -> tuple[Squares, int]:
    """The strands in their slots, and for every move a line from slot to slot, the shorter way round."""
    slots = len(layout.first)
    width = min(slots * across, room)
    lies = list(layout.first)
    ordinary = (0,) * slots
    parts = layout.first_parts or ordinary

    def at_rest() -> list[str | None]:
        row: list[str | None] = [None] * width
        for at, (name, part) in enumerate(zip(lies, parts, strict=True)):
            if name is not None:
                row[_column(at, slots, width)] = layout.value_of(name, part)
        return row

    grid = [at_rest(), at_rest()]
    for number, each in enumerate(layout.crosses):
        crossing = at_rest()
        for column in _columns(each.source, each.by, slots, width):
            crossing[column] = layout.value_of(each.colour, each.part)
        lies[each.source - 1], lies[each.target - 1] = None, each.colour
        parts = layout.rest_parts[number] if layout.rest_parts else ordinary
        grid += [crossing, *(at_rest() for _ in range(down - 1))]
    return [*grid, at_rest(), at_rest()], max(1, -(-slots // room))


def _moves_in_signs(layout: Layout, tags: Mapping[Shade, str], width: int) -> list[str]:
    slots = len(layout.first)
    lies = list(layout.first)
    lines = []
    for each in layout.crosses:
        lies[each.source - 1], lies[each.target - 1] = None, each.colour
        line = _spread(layout, ["|" if name else " " for name in lies], width)
        for column in _columns(each.source, each.by, slots, width):
            line[column] = "-"
        line[_column(each.source - 1, slots, width)] = "+"
        left = min(_column(each.target - 1, slots, width), width - 2)
        line[max(0, left) : left + 2] = tags[each.colour, each.part][: width - max(0, left)]
        lines.append("".join(line))
    return lines


def _columns(source: int, by: int, slots: int, width: int) -> list[int]:
    """The columns a move crosses, from slot `source` to the slot `by` slots further on."""
    step = 1 if by > 0 else -1
    start = _column(source - 1, slots, width)
    # Where a slot is several columns wide, the columns between two slots are crossed as well.
    end = start + round(by * width / slots)
    return [column % width for column in range(start, end + step, step)]
