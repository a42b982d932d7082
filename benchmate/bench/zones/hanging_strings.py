"""The zone of the strings as they hang: all of them, or those around the pair where there are many."""

from functools import lru_cache

from benchmate.bench.zones.view_values import String, View
from benchmate.craft.colours.colour import best_ground, ink_on, is_like
from benchmate.craft.shown_step import Side
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, centred, line
from benchmate.display.palette import Palette

NEXT = "next"
"""The label of the string to pick up next."""
LARGE = 8
"""The least height of the zone in which numbers and tags stand in large type."""
CELLS = (10, 8, 6, 5, 4, 3)
LARGE_CELLS = (24, 20, 16, 14, 12, 11, 10, 9, 8, 7, 6)
"""The cells a string may take, in plain and in large type."""


def hanging_strings(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines. The pair hangs lower than the rest, and the string that makes the knot lowest.

    The string to pick up next is labelled, where there is room.
    """
    # All colours of a variegated thread count, so that the ground stays while it changes.
    colours = [colour for string in view.strings if string.hangs for colour in (string.colour, *string.along)]
    ground = best_ground(palette.string_grounds, colours)
    ink = ink_on(ground)
    first, last, cell, lines = _window(view, width, height)
    pair = {side.position: side for side in (view.left, view.right) if side is not None}
    rows: list[list[Span]] = [[Span(" ", ink, ground)] for _ in range(height)]
    if first > 1:
        rows[0][0] = Span("<", ink, ground, True)
    for position in range(first, last + 1):
        string = view.strings[position - 1]
        follows = view.run is not None and position == view.run.hangs
        laid = view.laying is not None and view.laying.first <= position <= view.laying.last
        spans = _one(string, position, pair.get(position), cell, height, lines, ink, ground, follows=follows, laid=laid)
        for row, span in zip(rows, spans, strict=True):
            row += span
    if last < len(view.strings):
        rows[0].append(Span(f"> of {len(view.strings)}", ink, ground, True))
    # The width of all strings is known, so that not each of hundreds of spans is measured.
    left = width - 1 - cell * (last - first + 1)
    if left < 0:
        return [line(row, width, ground) for row in rows]
    strings = 1 + 2 * (last - first + 1)
    return [(*row[:strings], *line(row[strings:], left, ground)) for row in rows]


def _window(view: View, width: int, height: int) -> tuple[int, int, int, int]:
    """The first and last position shown, how many cells each string takes, and how many lines a number or a tag."""
    count = len(view.strings)
    cell, lines = _cells(count, frozenset(string.tag for string in view.strings), width, height)
    if cell:
        return 1, count, cell, lines
    shown = max(2, (width - 10) // 4)
    first_laid = view.laying.first if view.laying is not None else 1
    # A leading string hangs at no position; the base string then does.
    pair = [side.position for side in (view.left, view.right) if side is not None and side.position]
    middle = pair[0] if pair else first_laid
    first = min(max(1, middle - shown // 2), count - shown + 1)
    return first, first + shown - 1, 4, 1


@lru_cache(maxsize=64)
def _cells(count: int, tags: frozenset[str], width: int, height: int) -> tuple[int, int]:
    """The cells that each string takes, 0 where not all have room, and the lines of a number or a tag."""
    lines = max(3, height * 2 // 7)
    for cell in LARGE_CELLS if height >= LARGE else ():
        if count * cell + 2 <= width and all(large_type.draw(text, cell - 1, lines) for text in (str(count), *tags)):
            return cell, lines
    for cell in CELLS:
        if count * cell + 2 <= width and len(str(count)) < cell:
            return cell, 1
    return 0, 1


@lru_cache(maxsize=1024)
def _one(
    string: String,
    position: int,
    side: Side | None,
    cell: int,
    height: int,
    lines: int,
    ink: str,
    ground: str,
    *,
    follows: bool,
    laid: bool,
) -> tuple[tuple[Span, Span], ...]:
    """One string; `follows` when it is picked up next, `laid` while it is being laid out, as it then hangs lowest."""
    wide = cell - 1
    on = ink_on(string.colour)
    gap = Span(" ", ink, ground)
    number = Span("", ground, ink, True) if side is not None else Span("", ink, ground, laid)
    numbers = [number._replace(text=row) for row in _figures(position, side, wide, lines)]
    none = Span(" " * wide, ground, ground)
    if not string.hangs:
        return tuple((span, gap) for span in [*numbers, *[none] * (height - lines)])
    tag = Span("", on, string.colour, side is not None)
    tags = [tag._replace(text=row) for row in _lettered(string.tag, wide, lines)]
    full = Span("█" * wide, string.colour, ground)
    half = Span("▀" * wide, string.colour, ground)
    if is_like(string.colour, ground):
        full = half = Span("▏" + " " * (wide - 2) + "▕", on, string.colour)
        if all(each.text[0] == each.text[-1] == " " for each in tags) and wide >= 4:
            tags = [each._replace(text=f"▏{each.text[1:-1]}▕") for each in tags]
    below = height - 2 * lines
    if laid:
        hangs = [full] * below
    elif side is None:
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
    return tuple((span, gap) for span in [*numbers, *tags, *hangs][:height])


def _figures(position: int, side: Side | None, width: int, lines: int) -> list[str]:
    """The number over a string in so many lines: `>4<` for the knotting string, `[5]` for the passive one."""
    number = str(position)
    if side is not None:
        marked = f">{number}<" if side.makes else f"[{number}]"
        if len(marked) <= width if lines == 1 else large_type.draw(marked, width, lines):
            number = marked
    return _lettered(number, width, lines)


def _lettered(text: str, width: int, lines: int) -> list[str]:
    """The text centred, in one line or in large type."""
    drawn = large_type.draw(text, width, lines, "left", 2 * lines - 1) if lines > 1 else None
    return [centred(row, width) for row in (*(drawn or (text,)), *[""] * lines)][:lines]
