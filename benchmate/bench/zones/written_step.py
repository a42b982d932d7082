"""A written step: the instruction in large type, its hint below, and its drawing beside or below them."""

from functools import lru_cache
from typing import NamedTuple

from benchmate.bench.zones import half_hitch_cells
from benchmate.bench.zones.large_field import half_cells_of_large, large, margin, tallest
from benchmate.bench.zones.view_values import View
from benchmate.craft.colours.colour import ink_on
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, beside, clip, line, text_line, wrap
from benchmate.display.palette import Palette

TALL = 28
"""The least height of the zone in which a drawing gives way to a hint in large type."""
BIGGER = 1.2
"""How many times taller than its hint an instruction stands at least, where both are in large type."""


def written_step(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines. A drawing stands beside the words or below them: wherever both are larger."""
    if view.drawn is None:
        return _words(view, width, height, height // 2)
    broad = min(width // 2, height * 5 // 2)
    low = height * 3 // 5
    rooms = [_Room(broad, height, width - broad, height), _Room(width, low, width, height - low)]
    if height >= TALL:
        # A long hint needs more of the width.
        rooms += [_Room(across, height, width - across, height) for across in (width * 2 // 5, width // 3)]
    least_across, least_down = half_hitch_cells.LEAST
    rooms = [room for room in rooms if room.across >= least_across and room.down >= least_down]
    if not rooms:
        return _words(view, width, height, height // 2)
    room = max(rooms, key=lambda room: (*_are_large(view, room), min(room.across, 2 * room.down)))
    plain = len(wrap(view.word, max(1, room.words - 2 * margin(room.words)), room.lines))
    most = room.lines // 2 if _are_large(view, room)[0] else room.lines - plain - 1
    drawn = [*half_hitch_cells.draw(*view.drawn, room.across, room.down, palette)]
    words = _words(view, room.words, room.lines, max(0, most))
    return beside([words, drawn]) if room.lines == height else words + drawn


class _Room(NamedTuple):
    """Cells for a drawing, across and down, and the width and lines left for the words."""

    across: int
    down: int
    words: int
    lines: int


def _are_large(view: View, room: _Room) -> tuple[bool, bool]:
    """Whether the instruction stands in large type in a room, and, in a high one, its hint too."""
    inner = room.words - 2 * margin(room.words)
    word = large_type.capital_height(view.word, inner, room.lines * 2 // 3) > 0
    return word, word and room.lines >= TALL and bool(_large_hint(view.word, view.note, room.words, room.lines))


def _words(view: View, width: int, height: int, most: int) -> list[Line]:
    """The instruction and its hint, which takes at most `most` lines where it is in plain letters."""
    striped = view.mode == "undo"
    hint = _large_hint(view.word, view.note, width, height)
    if hint:
        ink, aside = ink_on(view.field), margin(width)
        blank = line([], width, view.field)
        lines = large(view.word, width, height - len(hint) - 2, view.field, striped=striped)
        lines += [blank, *(line([Span(" " * aside + row, ink, view.field, True)], width, view.field) for row in hint)]
        return [*lines, blank]
    ink = ink_on(view.field)
    indent = margin(width) if view.drawn else 2
    room = max(1, width - 2 * indent)
    whole = wrap(view.note, room, height)
    if len(whole) > most:
        # The instruction rather stands smaller than its hint loses its end.
        most = max(most, height - len(wrap(view.word, max(1, width - 2 * margin(width)), height)) - 1)
    notes = clip(whole, most, room)
    lines = large(view.word, width, height - len(notes) - bool(notes), view.field, striped=striped)
    lines += [text_line(note, width, ink, view.field, bold=True, indent=indent) for note in notes]
    return lines + [line([], width, view.field)] * (height - len(lines))


@lru_cache(maxsize=64)
def _large_hint(word: str, hint: str, width: int, height: int) -> tuple[str, ...]:
    """The hint in the tallest type that leaves the instruction clearly taller; nothing where it must be plain."""
    inner, rows = width - 2 * margin(width), height * 3 // 5
    high = min(tallest(height), large_type.half_cells_high(hint, inner, rows, tallest(height)))
    while high >= large_type.SMALLEST:
        drawn = large_type.draw(hint, inner, rows, "left", high)
        left = 0 if drawn is None else half_cells_of_large(word, width, height - len(drawn) - 2)
        if drawn is not None and left >= max(large_type.SMALLEST, BIGGER * high):
            return drawn
        high -= 1
    return ()
