"""A field of one colour with a text in large type, and how large other texts may grow in a window."""

from functools import lru_cache

from benchmate.craft.colours.colour import ink_on
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, clipped, line

STRIPED = 8
"""The least height of a field that gets stripes above and below to mark a knot to undo."""

ROOMY = 12
"""The least height of a field in which a line above and a line below the text stay free."""


def margin(width: int) -> int:
    """The cells left free at each side of a large text."""
    return 2 if width >= 60 else 1


def large(text: str, width: int, height: int, field: str, *, striped: bool = False) -> list[Line]:
    """Text in the largest type that fits, or in plain bold letters where none does."""
    return list(_drawn_large(text, width, height, field, striped))


@lru_cache(maxsize=64)
def _drawn_large(text: str, width: int, height: int, field: str, striped: bool) -> tuple[Line, ...]:
    ink = ink_on(field)
    aside = margin(width)
    stripe = Span("▚" * width, ink, field)
    edges = 2 if striped and height >= STRIPED else 0
    inner, room = width - 2 * aside, height - edges
    drawn = _fitting(text, inner, room)[0]
    if drawn is None:
        drawn = tuple(clipped(text.replace(large_type.TIED, " "), max(1, inner), room))
    elif len(drawn) == room:
        # Half a cell apart from the zone above, where it can be.
        drawn = large_type.lowered(drawn)
    rows = [line([Span(" " * aside + row, ink, field, True)], width, field) for row in drawn]
    above = (height - edges - len(rows) + 1) // 2
    blank = line([], width, field)
    body = [blank] * above + rows + [blank] * (height - edges - above - len(rows))
    return tuple([line([stripe], width, field), *body, line([stripe], width, field)] if edges else body)


def half_cells_of_large(text: str, width: int, height: int) -> int:
    """The height of the capitals that `large` gives, in half-cells; 0 for plain letters."""
    return _fitting(text, width - 2 * margin(width), height)[1]


def _fitting(text: str, width: int, height: int) -> tuple[tuple[str, ...] | None, int]:
    """The text as large as it fits, apart from the zones above and below where it can be, and its height."""
    tried = [(height - 2, None)] if height >= ROOMY else [(height - 1, None)] if height > 5 else []
    for rows, most in (*tried, (height, 2 * height - 1), (height, None)):
        drawn = large_type.draw(text, width, rows, "left", most)
        if drawn is not None:
            return drawn, large_type.half_cells_high(text, width, rows, most)
    return None, 0


def tallest(lines: int) -> int:
    """The tallest capitals, in half-cells, of what is read at arm's length in a window of so many lines.

    They grow with the window: 2.5 cells up to 47 lines, 4 at 60, 7 at 100.
    """
    return max(large_type.SMALLEST, lines * 2 // 14)
