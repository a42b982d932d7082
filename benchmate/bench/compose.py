"""The whole bench as lines of cells, from what is to be shown and the room there is.

Three zones: now (a field in the knotting string's colour, with the knot in large type, and the two strings each on
their own colour), the strings as they hang, and next. The band so far stands beside them where there is room.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from rich.cells import cell_len

from benchmate.bench import lettering
from benchmate.bench.cells import Line, Span, beside, centred, clip, cut, line, text_line, width_of, wrap
from benchmate.bench.palette import STRING_GROUNDS, Palette
from benchmate.bench.view import COMING, Side, String, View
from benchmate.craft import pace
from benchmate.craft.colour import best_ground, ink_on

STRIPED = 8
"""Lines a field in large type needs to have an edge of stripes above and below, which says that a knot comes out."""
REST = "Rest your hands for 5 to 10 minutes: they have worked for 50."


class Room(NamedTuple):
    """How many lines each zone gets."""

    word: int
    pair: int
    strings: int
    coming: int
    status: int


def room_for(height: int) -> Room:
    """Divides a screen of `height` lines among the zones; one line is the head's."""
    if height >= 20:
        strings, coming, status = 5 + (height >= 32) + (height >= 48), 4, 1
    elif height >= 16:
        strings, coming, status = 3, 3, 1
    else:
        strings, coming, status = 2, 1, 0
    left = height - 1 - strings - coming - status
    pair = 2 if left < 10 else min(10, left * 2 // 5)
    return Room(max(1, left - pair), pair, strings, coming, status)


def compose(
    view: View, width: int, height: int, palette: Palette, band: Sequence[Line] | None = None, keys: str = ""
) -> list[Line]:
    """Exactly `height` lines of exactly `width` cells.

    `band` is the picture of the band so far, if it is to be shown: one line fewer, all of one width; it is put at the
    right edge under the head. `keys` names the keys to know, and is shown where there is room.
    """
    room = room_for(height)
    inner = width - (width_of(band[0]) if band else 0)
    lines = _now(view, inner, room, palette)
    lines += _strings(view, inner, room.strings, palette)
    lines += _coming(view, inner, room.coming, palette)
    if room.status:
        lines.append(_status(view, inner, palette, keys))
    if band:
        lines = beside([lines[: len(band)], band])
    return [_head(view, width, room, palette), *lines][:height]


def _head(view: View, width: int, room: Room, palette: Palette) -> Line:
    done, rest = f"{view.done}/{view.of}", "REST" if view.rest and room.coming <= COMING else ""
    where = view.where
    if not room.status or len(done + where) > width // 2:
        where = where.replace("row ", "r").replace(" of ", "/")
    right = "  ".join(fact for fact in (rest, done, where) if fact)
    title = cut(view.title, max(8, width - len(right) - 4))
    gap = max(1, width - 2 - width_of([Span(title, "", "")]) - len(right))
    ground = palette.head
    return line(
        [
            Span(f" {title}", palette.ink, ground, True),
            Span(" " * gap + right + " ", palette.ink, ground, True),
        ],
        width,
        ground,
    )


def _now(view: View, width: int, room: Room, palette: Palette) -> list[Line]:
    height = room.word + room.pair
    if view.left is None or view.right is None:
        return _told(view, width, height)
    word = large(view.word, width, room.word, view.field, striped=view.mode == "undo")
    half = (width - 1) // 2
    gutter = [line([], 1, palette.ground)] * room.pair
    pair = beside([_side(view.left, half, room.pair), gutter, _side(view.right, width - 1 - half, room.pair)])
    if view.mode == "undo" and room.word >= STRIPED:
        word[-1] = text_line(view.note, width, ink_on(view.field), view.field, bold=True, indent=2)
    return word + pair


@lru_cache(maxsize=64)
def _drawn_large(text: str, width: int, height: int, field: str, striped: bool) -> tuple[Line, ...]:
    ink = ink_on(field)
    margin = 2 if width >= 60 else 1
    stripe = Span("▚" * width, ink, field)
    edges = 2 if striped and height >= STRIPED else 0
    inner, room = width - 2 * margin, height - edges
    drawn = (lettering.draw(text, inner, room - 1) if room > 5 else None) or lettering.draw(text, inner, room)
    if drawn is None:
        drawn = tuple(clip(wrap(text, max(1, inner)), room, inner))
    rows = [line([Span(" " * margin + row, ink, field, True)], width, field) for row in drawn]
    above = (height - edges - len(rows)) // 2
    blank = line([], width, field)
    body = [blank] * above + rows + [blank] * (height - edges - above - len(rows))
    return tuple([line([stripe], width, field), *body, line([stripe], width, field)] if edges else body)


def large(text: str, width: int, height: int, field: str, *, striped: bool = False) -> list[Line]:
    """Text in the largest type there is room for, or in plain bold letters where it cannot be drawn."""
    return list(_drawn_large(text, width, height, field, striped))


def _side(side: Side, width: int, height: int) -> list[Line]:
    """One string of the pair on its own colour: its position in large type, its colour, its part, where it ends.

    The string that makes the knot has a bar over it: its part is told by a shape as well as in words.
    """
    ink, ground = ink_on(side.colour), side.colour
    stays = side.ends == side.position
    part = "makes the knot" if side.makes else "is knotted over"
    ends = f"stays at {side.position}" if stays else f"ends at {side.ends}"
    if height < 3 or width < 24:
        short = "knots" if side.makes else "passive"
        mark = "▌" if side.makes else " "
        shorter = f"{short}, {'stays' if stays else f'to {side.ends}'}"
        part = next((text for text in (f"{short}, {ends}", shorter) if len(text) < width), shorter)
        texts = [cut(f"{mark}{text}", width) for text in (f"{side.position} {side.say}", part)][:height]
        blank = line([], width, ground)
        above = [blank] * ((height - len(texts)) // 2)
        lines = [line([Span(text, ink, ground, True)], width, ground) for text in texts]
        return [*above, *lines, *[blank] * (height - len(texts) - len(above))]
    bar = line([Span("▀" * width if side.makes else " " * width, ink, ground)], width, ground)
    body = height - 1
    digits = lettering.draw(str(side.position), max(6, width // 3), body - (body > 4)) or (str(side.position),)
    digit_width = max(len(row) for row in digits)
    room = width - digit_width - 5
    if len(part) > room:
        part = "makes it" if side.makes else "passive"
    told = _side_texts(side.say, part, ends, room, body)
    digits_above, told_above = (body - len(digits)) // 2, (body - len(told)) // 2
    lines = []
    for at in range(body):
        digit = digits[at - digits_above] if 0 <= at - digits_above < len(digits) else ""
        text = told[at - told_above] if 0 <= at - told_above < len(told) else ""
        spans = [
            Span("  " + digit.ljust(digit_width) + "  ", ink, ground, True),
            Span(cut(text, room), ink, ground, at == told_above or side.makes),
        ]
        lines.append(line(spans, width, ground))
    return [bar, *lines]


def _side_texts(say: str, part: str, ends: str, width: int, height: int) -> Sequence[str]:
    """A string's colour, its part and where it ends; the colour in large type where there is room for that too."""
    below = (f"{part}, {ends}",) if len(part) + len(ends) + 2 <= width else (part, ends)
    drawn = lettering.draw(say, width, height - 3 - len(below)) if height >= 7 else None
    return (say, part, ends) if drawn is None else (*drawn, "", *below)


def _told(view: View, width: int, height: int) -> list[Line]:
    """An instruction in words, in large type where it fits, its note below."""
    ink = ink_on(view.field)
    notes = clip(wrap(view.note, max(1, width - 4)), height // 2, width - 4)
    lines = large(view.word, width, height - len(notes) - bool(notes), view.field, striped=view.mode == "undo")
    lines += [text_line(note, width, ink, view.field, bold=True, indent=2) for note in notes]
    return lines + [line([], width, view.field)] * (height - len(lines))


def _strings(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    """The strings as they hang. The pair hangs longest, and of the two the one that makes the knot."""
    ground = best_ground(STRING_GROUNDS[palette], [string.colour for string in view.strings])
    ink = ink_on(ground)
    if not view.strings:
        return [line([], width, ground)] * height
    first, last, cell = _window(view, width)
    pair = {side.position: side for side in (view.left, view.right) if side is not None}
    rows: list[list[Span]] = [[Span(" ", ink, ground)] for _ in range(height)]
    if first > 1:
        rows[0][0] = Span("<", ink, ground, True)
    for position in range(first, last + 1):
        string = view.strings[position - 1]
        for row, span in zip(
            rows, _hanging(string, position, pair.get(position), cell, height, ink, ground), strict=True
        ):
            row += span
    if last < len(view.strings):
        rows[0].append(Span(f"> of {len(view.strings)}", ink, ground, True))
    return [line(row, width, ground) for row in rows]


def _window(view: View, width: int) -> tuple[int, int, int]:
    """The first and last position shown, and how many cells each string takes."""
    count = len(view.strings)
    for cell in (10, 8, 6, 5, 4, 3):
        if count * cell + 2 <= width and len(str(count)) < cell:
            return 1, count, cell
    shown = max(2, (width - 10) // 4)
    middle = view.left.position if view.left is not None else 1
    first = min(max(1, middle - shown // 2), count - shown + 1)
    return first, first + shown - 1, 4


def _hanging(
    string: String, position: int, side: Side | None, cell: int, height: int, ink: str, ground: str
) -> list[list[Span]]:
    wide = cell - 1
    on = ink_on(string.colour)
    gap = Span(" ", ink, ground)
    number = Span(centred(_numbered(position, side, wide), wide), ink, ground, side is not None)
    tag = Span(centred(string.tag, wide), on, string.colour, side is not None)
    full = Span("█" * wide, string.colour, ground)
    none = Span(" " * wide, ground, ground)
    half = Span("▀" * wide, string.colour, ground)
    below = height - 2
    if side is None:
        hangs = [half, *[none] * below][:below] if below > 1 else [none] * below
    elif side.makes:
        hangs = [*[full] * below, half][1:]
    else:
        hangs = [*[full] * below, half, none][2:]
    return [[span, gap] for span in [_marked(number, side), tag, *hangs]]


def _numbered(position: int, side: Side | None, width: int) -> str:
    """The number over a string: that of the maker and that of the passive string each in its own brackets."""
    if side is None or len(str(position)) + 2 > width:
        return str(position)
    return f">{position}<" if side.makes else f"[{position}]"


def _marked(number: Span, side: Side | None) -> Span:
    return number if side is None else Span(number.text, number.ground, number.ink, True)


def _coming(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    if height == 1:
        return [_notice(view.notice, width, palette) if view.notice else _in_one_line(view, width, palette)]
    ground = palette.panel
    title = "NEXT" if view.coming else ("" if view.mode == "done" else "THE LAST ONE")
    lines = []
    for at in range(height):
        step = view.coming[at] if at < len(view.coming) else None
        spans = [Span(f" {title if at == 0 else '':<5}", palette.quiet, ground, True)]
        if step is not None:
            spans += [Span("██", colour, ground) for colour in step.colours]
            room = width - width_of(spans) - 2
            words = next((text for text in (step.words, step.brief) if cell_len(text) <= room), step.short)
            spans.append(Span(" " + cut(words, room), palette.ink, ground, at == 0))
        lines.append(line(spans, width, ground))
    if view.notice:
        lines[-1] = _notice(view.notice, width, palette)
    elif view.rest and height > COMING:
        lines[-1] = _notice(REST, width, palette)
    return lines


def _in_one_line(view: View, width: int, palette: Palette) -> Line:
    """What comes next in the shortest form, and the share done and the time left, which have no line of their own."""
    time = "" if view.seconds_left is None else f" {pace.briefly(view.seconds_left)}"
    share = f"{view.share}%{time}"
    before = f"{view.out} to undo  " if view.out else (f"press={view.one_press}  " if view.one_press else "")
    steps = [step.short for step in view.coming]
    coming = [f"{before}next {'  '.join(steps)}", f"{before}next {' '.join(steps)}", f"{before}> {' '.join(steps)}"]
    if not steps:
        coming = [before + ("" if view.mode == "done" else "the last one")]
    room = max(0, width - len(share) - 2)
    left = cut(next((text for text in coming if cell_len(text) <= room), coming[-1]), room)
    gap = " " * max(1, width - 2 - cell_len(left) - len(share))
    return line([Span(f" {left}{gap}{share}", palette.ink, palette.panel)], width, palette.panel)


def _notice(text: str, width: int, palette: Palette) -> Line:
    return text_line(text, width, palette.alarm_ink, palette.alarm, bold=True)


def _status(view: View, width: int, palette: Palette, keys: str) -> Line:
    knot = "" if view.left is None else f"knot {view.n}"
    press = f"one press: {view.one_press}" if view.one_press else ""
    out = f"{view.out} to undo" if view.out else ""
    seconds = view.seconds_left
    times = [""] if seconds is None else [f"{pace.in_words(seconds)} left", pace.briefly(seconds)]
    facts = ["   ".join(fact for fact in (knot, out, f"{view.share}%", time, press) if fact) for time in times]
    left = next((text for text in facts if len(text) <= width - 2), facts[-1])
    gap = width - len(left) - len(keys) - 2
    text = f" {left}{' ' * gap}{keys} " if gap >= 3 else f" {left}"
    return line([Span(text, palette.ink, palette.head)], width, palette.head)
