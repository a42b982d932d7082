"""The zone of the current step: the knot in large type on the colour of the string that makes it, a bold arrow for the
way that string goes, and the two strings of the pair, each on its own colour.
"""

from functools import lru_cache

from benchmate.bench.zones.arrow import LEAST_ACROSS, LEAST_THERE_AND_BACK, arrow
from benchmate.bench.zones.large_field import ROOMY, STRIPED, half_cells_of_large, large, margin
from benchmate.bench.zones.pair import pair_of_strings
from benchmate.bench.zones.view_values import View
from benchmate.bench.zones.written_step import written_step
from benchmate.craft.colours.colour import ink_on
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, beside, line, text_line
from benchmate.display.palette import Palette

ARROW_WIDTH = 36
"""The least width in which the arrow is drawn."""
TALL = 8
"""From this height on, in half-cells, a name leaves an arrow across the field its place below."""
WORTH = 1.3
"""How many times taller the name must stand to move the arrow from its usual place, below the name or beside it."""


def current_step(view: View, width: int, word: int, pair: int, palette: Palette) -> list[Line]:
    """Exactly `word` + `pair` lines."""
    left, right = view.left, view.right
    if left is None or right is None:
        return written_step(view, width, word + pair, palette)
    if view.mode == "tie" and width >= ARROW_WIDTH and (left.makes or right.makes):
        maker = left if left.makes else right
        lines = list(_with_arrow(view.word, left.makes, maker.ends != maker.position, width, word, view.field))
    else:
        note = _note(view, width, word)
        lines = large(view.word, width, word - len(note), view.field, striped=view.mode != "tie") + note
    return lines + pair_of_strings(view, width, pair, palette)


def _note(view: View, width: int, height: int) -> list[Line]:
    """How many knots to undo, below the knot's name where there is room."""
    if view.mode != "undo" or height < STRIPED:
        return []
    ink, aside = ink_on(view.field), margin(width)
    drawn = large_type.draw(view.note, width - 2 * aside, height // 4) if height >= ROOMY else None
    if drawn is None:
        return [text_line(view.note, width, ink, view.field, bold=True, indent=2)]
    return [
        line([Span(" " * aside + row, ink, view.field, True)], width, view.field) for row in large_type.lowered(drawn)
    ]


@lru_cache(maxsize=64)
def _with_arrow(text: str, from_left: bool, swaps: bool, width: int, height: int, field: str) -> tuple[Line, ...]:
    """The knot's name with its arrow: below it where the strings change places, otherwise beside it.

    An arrow across the field keeps its length there, and one that comes back its height. Where the name would stand
    much taller, or where the arrow would have no room, it is the other way round. Where neither has room, there is no
    arrow.
    """
    least = LEAST_ACROSS if swaps else LEAST_THERE_AND_BACK
    below, here = _lines_below(text, swaps, width, height, least)
    across, there = _cells_beside(text, width, height, least)
    ink, edge = ink_on(field), line([], margin(width), field)
    if here and (here >= TALL or here * WORTH >= there) if swaps else here > WORTH * there:
        drawn = arrow(from_left, swaps, width - 2 * margin(width), below, ink, field)
        return (*large(text, width, height - below, field), *((*edge, *row, *edge) for row in drawn))
    if there:
        # A blank line above and below, where there is room, like those of the name.
        free = max(least[1], min(height - 2 if height - 2 >= least[1] + 2 else height, across // 2 + 1))
        blank = [line([], across, field)]
        drawn = arrow(from_left, swaps, across - margin(width), free, ink, field)
        above = (height - free) // 2
        beside_it = [*blank * above, *((*row, *edge) for row in drawn), *blank * (height - free - above)]
        return tuple(beside([large(text, width - across, height, field), beside_it]))
    return tuple(large(text, width, height, field))


def _lines_below(text: str, swaps: bool, width: int, height: int, least: tuple[int, int]) -> tuple[int, int]:
    """The lines of an arrow below the name, and the height of the name then, in half-cells; 0 where none fits."""
    below = max(3, round(0.3 * height + 0.6)) if swaps else max(5, round(0.4 * height))
    if below < least[1] or width - 2 * margin(width) < least[0]:
        return 0, 0
    return below, half_cells_of_large(text, width, height - below)


def _cells_beside(text: str, width: int, height: int, least: tuple[int, int]) -> tuple[int, int]:
    """The cells of an arrow beside the name, and the height of the name then, in half-cells; 0 where none fits."""
    narrow = least[0] + margin(width)
    if height < least[1]:
        return 0, 0
    broad = max(narrow, min(width * 9 // 20, 3 * height))
    shorter, taller = (half_cells_of_large(text, width - across, height) for across in (broad, narrow))
    return (narrow, taller) if taller > WORTH * shorter else (broad, shorter)
