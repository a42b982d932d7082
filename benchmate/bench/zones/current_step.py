"""The zone of the current step: the knot in large type on the colour of the string that makes it, an arrow for the
way that string goes, and the two strings of the pair, each on its own colour.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from benchmate.bench.zones import half_hitch_cells
from benchmate.bench.zones.arrow import arrow
from benchmate.bench.zones.view_values import Run, View
from benchmate.craft.colours.colour import ink_on
from benchmate.craft.shown_step import Side
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, beside, clipped, cut, line, text_line, wrap
from benchmate.display.palette import Palette

STRIPED = 8
"""The least height of the large field that gets stripes above and below to mark a knot to undo."""
ARROW = ((9, 3), (24, 4))
"""Pairs of a least height of the large field and the number of lines the arrow then takes."""
ARROW_WIDTH = 36
"""The least width in which the arrow is drawn."""
WIDE = 48
"""The least width in which a string of the pair shows in large type where it ends as well as where it hangs."""


def current_step(view: View, width: int, word: int, pair: int, palette: Palette) -> list[Line]:
    """Exactly `word` + `pair` lines."""
    left, right = view.left, view.right
    if left is None or right is None:
        return _instruction(view, width, word + pair, palette)
    drawn = view.mode == "tie" and width >= ARROW_WIDTH
    way = max((lines for least, lines in ARROW if word >= least), default=0) if drawn else 0
    lines = large(view.word, width, word - way, view.field, striped=view.mode != "tie")
    if way:
        maker = left if left.makes else right
        lines += arrow(left.makes, maker.ends != maker.position, width, way, ink_on(view.field), view.field)
    elif view.mode == "undo" and word >= STRIPED:
        lines[-1] = text_line(view.note, width, ink_on(view.field), view.field, bold=True, indent=2)
    if view.run and not lines[0][0].text.strip():
        lines[0] = _run_line(view.run, width, view.field)
    half = (width - 1) // 2
    undone = view.mode == "undo"
    gutter = [line([], 1, palette.ground)] * pair
    run = view.run
    sides = [_side(side, room, pair, undone, run) for side, room in ((left, half), (right, width - 1 - half))]
    return lines + beside([sides[0], gutter, sides[1]])


def _run_line(run: Run, width: int, field: str) -> Line:
    """The knots of the run side by side: bars up to the knot to make now, thin lines for the rest.

    All of them keep to the upper half of the line, clear of the letters below.
    """
    ink = ink_on(field)
    cell = min(8, (width - 2) // run.of)
    if cell < 2:
        return line([], width, field)
    signs = "▀" * run.at + "▔" * (run.of - run.at)
    text = " ".join(sign * (cell - 1) for sign in signs)
    return line([Span(" " * ((width - len(text)) // 2) + text, ink, field, True)], width, field)


@lru_cache(maxsize=64)
def _drawn_large(text: str, width: int, height: int, field: str, striped: bool) -> tuple[Line, ...]:
    ink = ink_on(field)
    margin = _margin(width)
    stripe = Span("▚" * width, ink, field)
    edges = 2 if striped and height >= STRIPED else 0
    inner, room = width - 2 * margin, height - edges
    drawn = (large_type.draw(text, inner, room - 1) if room > 5 else None) or large_type.draw(text, inner, room)
    if drawn is None:
        drawn = tuple(clipped(text, max(1, inner), room))
    rows = [line([Span(" " * margin + row, ink, field, True)], width, field) for row in drawn]
    above = (height - edges - len(rows) + 1) // 2
    blank = line([], width, field)
    body = [blank] * above + rows + [blank] * (height - edges - above - len(rows))
    return tuple([line([stripe], width, field), *body, line([stripe], width, field)] if edges else body)


def _margin(width: int) -> int:
    return 2 if width >= 60 else 1


def large(text: str, width: int, height: int, field: str, *, striped: bool = False) -> list[Line]:
    """Text in the largest type that fits, or in plain bold letters where none does."""
    return list(_drawn_large(text, width, height, field, striped))


def _side(side: Side, width: int, height: int, undone: bool, run: Run | None) -> list[Line]:
    """One string of the pair on its own colour: its position in large type, its colour, its part, where it ends.

    A bar over the string that makes the knot shows its part by shape as well as in words. With `undone`, the knot is
    taken out and the string goes back to where it hung.
    """
    ink, ground = ink_on(side.colour), side.colour
    stays = side.ends == side.position
    part = ("made the knot" if undone else "makes the knot") if side.makes else "is knotted over"
    if side.makes and run is not None:
        part = f"{'pick it up: ' if run.at == 1 else 'makes '}knot {run.at} of {run.of}"
    ends = f"stays at {side.position}" if stays else f"{'goes back to' if undone else 'ends at'} {side.ends}"
    figures = str(side.position) if stays or width < WIDE else f"{side.position}→{side.ends}"
    if side.labels is not None:
        figures, part, ends = side.labels
        stays = True
    if height < 3 or width < 24:
        short = ("knotted" if undone else "knots") if side.makes else "under"
        mark = "▌" if side.makes else " "
        shorter = f"{short}, {'stays' if stays else f'to {side.ends}'}"
        if side.labels is not None:
            shorter, ends = part, part
        part = next((text for text in (f"{short}, {ends}", shorter) if len(text) < width), shorter)
        texts = [cut(f"{mark}{text}", width) for text in (f"{figures.partition('→')[0]} {side.say}", part)][:height]
        blank = line([], width, ground)
        above = [blank] * ((height - len(texts)) // 2)
        lines = [line([Span(text, ink, ground, True)], width, ground) for text in texts]
        return [*above, *lines, *[blank] * (height - len(texts) - len(above))]
    bar = line([Span("▀" * width if side.makes else " " * width, ink, ground, True)], width, ground)
    body = height - 1
    digits = large_type.draw(figures, max(6, width // (3 if stays or width < WIDE else 2)), body - (body > 3))
    digits = digits or (figures.partition("→")[0],)
    digit_width = max(len(row) for row in digits)
    room = width - digit_width - 5
    if len(part) > room:
        part = part[part.index("knot") :] if run else "makes it"
        part = part if side.makes else "under it"
    words = _side_texts(side.say, part, ends, room, body)
    digits_above, words_above = (body - len(digits)) // 2, (body - len(words)) // 2
    lines = []
    for at in range(body):
        digit = digits[at - digits_above] if 0 <= at - digits_above < len(digits) else ""
        text = words[at - words_above] if 0 <= at - words_above < len(words) else ""
        spans = [
            Span("  " + digit.ljust(digit_width) + "  ", ink, ground, True),
            Span(cut(text, room), ink, ground, at == words_above or side.makes),
        ]
        lines.append(line(spans, width, ground))
    return [bar, *lines]


def _side_texts(say: str, part: str, ends: str, width: int, height: int) -> Sequence[str]:
    """A string's colour, its part and where it ends; the colour in large type where there is room."""
    below = (f"{part}, {ends}",) if len(part) + len(ends) + 2 <= width else (part, ends)
    drawn = large_type.draw(say, width, height - 2 - len(below)) if height >= 7 else None
    return (say, part, ends) if drawn is None else (*drawn, "", *below)


def _instruction(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    """A written step, with its drawing, if it has one, beside it or below it: whichever leaves both larger."""
    if view.drawn is None:
        return _instruction_text(view, width, height, height // 2)
    broad = min(width // 2, height * 5 // 2)
    low = height * 3 // 5
    rooms = [_Room(broad, height, width - broad, height), _Room(width, low, width, height - low)]
    least_across, least_down = half_hitch_cells.LEAST
    rooms = [room for room in rooms if room.across >= least_across and room.down >= least_down]
    if not rooms:
        return _instruction_text(view, width, height, height // 2)
    room = max(rooms, key=lambda room: (_is_large(view, room), min(room.across, 2 * room.down)))
    plain = len(wrap(view.word, max(1, room.words - 2 * _margin(room.words)), room.lines))
    most = room.lines // 2 if _is_large(view, room) else room.lines - plain - 1
    drawn = [*half_hitch_cells.draw(*view.drawn, room.across, room.down, palette)]
    words = _instruction_text(view, room.words, room.lines, max(0, most))
    return beside([words, drawn]) if room.lines == height else words + drawn


class _Room(NamedTuple):
    """Cells for a drawing, across and down, and the width and lines left for the words."""

    across: int
    down: int
    words: int
    lines: int


def _is_large(view: View, room: _Room) -> bool:
    return large_type.capital_height(view.word, room.words - 2 * _margin(room.words), room.lines * 2 // 3) > 0


def _instruction_text(view: View, width: int, height: int, most: int) -> list[Line]:
    """A written step in large type where it fits, with its hint below in at most `most` lines."""
    ink = ink_on(view.field)
    indent = _margin(width) if view.drawn else 2
    notes = clipped(view.note, max(1, width - 2 * indent), most)
    lines = large(view.word, width, height - len(notes) - bool(notes), view.field, striped=view.mode == "undo")
    lines += [text_line(note, width, ink, view.field, bold=True, indent=indent) for note in notes]
    return lines + [line([], width, view.field)] * (height - len(lines))
