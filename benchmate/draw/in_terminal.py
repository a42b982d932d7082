"""The drawing in a terminal: as many lines of text as it needs, each exactly as wide as the window.

A band is longer than a window is high. If the lines are limited, it continues in the next column to the right, like a
text in a newspaper.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import count
from typing import NamedTuple
from unicodedata import bidirectional

from benchmate.craft.colours.colour_difference import levels
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR, ColourDepth, is_grey, number_of
from benchmate.craft.drawing import GROUNDS, Layout
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.step_words import tags
from benchmate.display.cells import DEFAULT_COLOUR, Line, Span, beside, cells_of, cut, joined, line, width_of, wrap
from benchmate.draw.cell_image import Image, Shade, in_colour, in_signs
from benchmate.draw.description import description
from benchmate.files.safe_text import shown

BETWEEN = 2
"""The gap, in cells, between two columns and between two colours of the legend."""
LEAST_LINES = 4
"""The fewest lines left to the drawing itself, if it has that many."""
MOST_MARKS = 8
"""The most colours of a variegated thread that are shown beside its name."""
REPEATS = 2
"""The scale is reduced until this many repeats are visible, or all of them if there are fewer."""


class _Columns(NamedTuple):
    """An image cut into `abreast` columns of `high` lines, side by side; the rest is left out."""

    image: Image
    high: int
    abreast: int

    @property
    def last_row(self) -> int:
        """The last visible row."""
        return self.image.rows[min(len(self.image.lines), self.high * self.abreast) - 1]


def in_terminal(
    layout: Layout, width: int, height_limit: int | None = None, *, depth: ColourDepth | None = TRUE_COLOUR
) -> list[str]:
    """The drawing with its title, a description and its colours, in lines of exactly `width` cells.

    There are at most `height_limit` lines, if given. `depth` is how many colours the terminal shows; the layout is in
    colours that it can show. The text has sequences for them (ISO 8613-6: direct colour in RGB, or a number) and no
    other control characters. Without a depth it has none, and signs tell the colours apart.
    """
    width = max(1, width)
    lines = in_cells(layout, width, height_limit, depth=depth)
    return [_painted(spans, width, depth or TRUE_COLOUR) for spans in lines]


def in_cells(
    layout: Layout, width: int, height_limit: int | None = None, *, depth: ColourDepth | None = TRUE_COLOUR
) -> list[Line]:
    """The same in lines of cells, each at most `width` wide; what has no colour of its own has the default colour."""
    width = max(1, width)
    tag_of = tags_of(layout)
    images = _images(layout, tag_of, width, depth)
    legend = _legend(layout, tag_of, width, colours=depth is not None)
    if height_limit is not None:
        most = max(1, (height_limit - 2) // 4)
        legend = legend if len(legend) <= most else [*legend[: most - 1], (Span("(more colours)"),)]
    # A smaller drawing needs a longer description, which leaves less room for the drawing.
    for reserved in count(1):
        room = None if height_limit is None else max(LEAST_LINES, height_limit - 1 - reserved - len(legend))
        columns = _chosen(layout, images, width, room)
        caption = wrap(_caption(layout, columns), width)
        if len(caption) <= reserved:
            break
    title = Span(cut(shown(layout.title), width))
    lines = [(title,), *_side_by_side(columns), *((Span(text),) for text in caption), *legend]
    return lines[:height_limit]


def ground_for(layout: Layout, depth: ColourDepth) -> str:
    """The background of a drawing on a terminal with so many colours: a grey that it shows."""
    return layout.ground([grey for grey in depth.choice if is_grey(grey)] or GROUNDS)


def _images(layout: Layout, tag_of: dict[Shade, str], width: int, depth: ColourDepth | None) -> list[Image]:
    """The drawing in every scale that fits the width, or in one reduced to fit."""
    if depth is None:
        return [in_signs(layout, tag_of, width)]
    ground = ground_for(layout, depth)
    return [
        in_colour(layout, across, down, width, ground, shaded=not depth.colours)
        for across, down in layout.scales
        if len(layout.first) * across <= width - 2 or across == 1
    ]


def _chosen(layout: Layout, images: Sequence[Image], width: int, room: int | None) -> _Columns:
    """The image in the largest scale that shows enough, or in the smallest."""
    found = [_columns(image, width, room) for image in images]
    enough = min(layout.rows, REPEATS * layout.once)
    return next((columns for columns in found if columns.last_row >= enough), found[-1])


def _columns(image: Image, width: int, room: int | None) -> _Columns:
    lines = len(image.lines)
    if room is None or lines <= room:
        return _Columns(image, lines, 1)
    fit = max(1, (width + BETWEEN) // (max(image.width, len(str(image.rows[-1]))) + BETWEEN))
    # Several columns have a line above them with the numbers of their first rows.
    high = room - 1 if fit > 1 else room
    return _Columns(image, high, min(fit, -(-lines // high)))


def _side_by_side(columns: _Columns) -> Iterator[Line]:
    image, high = columns.image, columns.high
    starts = range(0, columns.abreast * high, high)
    if columns.abreast == 1:
        yield from image.lines[:high]
        return
    wide = max(image.width, len(str(image.rows[-1]))) + BETWEEN
    yield (Span("".join(f"{image.rows[start]:<{wide}}" for start in starts).rstrip()),)
    parts = [[line(part, wide, DEFAULT_COLOUR) for part in image.lines[start : start + high]] for start in starts]
    parts[-1] += [line((), wide, DEFAULT_COLOUR)] * (high - len(parts[-1]))
    yield from beside(parts)


def _caption(layout: Layout, columns: _Columns) -> str:
    """The drawing in words, and what the window leaves out of it."""
    words = [description(layout)]
    if columns.last_row < layout.rows:
        words.append(f"{layout.unit}s 1 to {columns.last_row} are shown")
    if columns.abreast > 1:
        words.append("each column continues in the next")
    if columns.image.reduction > 1:
        down = "" if layout.crosses else f" and as many {layout.unit}s"
        words.append(f"reduced to fit: one place stands for {counted(columns.image.reduction, layout.across)}{down}")
    return "; ".join(words)


def tags_of(layout: Layout) -> dict[Shade, str]:
    """A tag of exactly two cells for every colour, of left-to-right characters one cell wide.

    Each colour along a variegated thread has its own: the letter of the thread and a number, if that is free.
    """
    plain = {
        name: "".join(sign for sign in colour.say if cells_of(sign) == 1 and bidirectional(sign) in ("L", "EN"))
        for name, colour in layout.colours.items()
    }
    likely: dict[Shade, str] = {}
    same: dict[Shade, Shade] = {}
    for name, colour in layout.colours.items():
        if not colour.sequence:
            likely[name, 0] = plain[name]
        for part, each in enumerate(colour.sequence):
            first = next(at for at, other in enumerate(colour.sequence) if other.value == each.value)
            same[name, part] = (name, first)
    numbers: Counter[str] = Counter()
    for name, part in dict.fromkeys(same.values()):
        numbers[name] += 1
        likely[name, part] = f"{next(filter(str.isalnum, plain[name]), 'x')}{numbers[name] % 10}"
    found = {shade: f"{tag:<2}" for shade, tag in tags(likely).items()}
    return found | {shade: found[first] for shade, first in same.items()}


def _legend(layout: Layout, tag_of: dict[Shade, str], width: int, *, colours: bool) -> list[Line]:
    """The colours in the drawing, and their names."""
    lines: list[list[Span]] = [[]]
    for item in _legend_items(layout, tag_of, width, colours=colours):
        if lines[-1] and width_of(lines[-1]) + BETWEEN + width_of(item) > width:
            lines.append([])
        lines[-1] += [Span(" " * BETWEEN), *item] if lines[-1] else item
    return [tuple(each) for each in lines]


def _legend_items(layout: Layout, tag_of: dict[Shade, str], width: int, *, colours: bool) -> Iterator[list[Span]]:
    """Each colour with its mark and name; in signs, each colour along a variegated thread by itself."""
    for name in layout.used:
        colour = layout.colours[name]
        if colours:
            marks = [Span("█", value) for value in colour.values[:MOST_MARKS]] if colour.sequence else []
            marks = marks or [Span("██", colour.value)]
            yield [*marks, Span(" " + cut(shown(colour.described), width - 1 - width_of(marks)))]
            continue
        if not colour.sequence:
            yield [Span(tag_of[name, 0]), Span(" " + cut(shown(colour.say), width - 3))]
        of_tag = {tag_of[name, part]: each.say for part, each in enumerate(colour.sequence)}
        for tag, say in of_tag.items():
            yield [Span(tag), Span(" " + cut(shown(f"{colour.say}, {say}"), width - 3))]


def _painted(spans: Sequence[Span], width: int, depth: ColourDepth) -> str:
    """The spans in exactly `width` cells, with a sequence only where a colour starts and where it ends."""
    parts = []
    for span in joined(line(spans, width, DEFAULT_COLOUR)):
        colours = ((30, span.ink), (40, span.ground))
        codes = [_code(first, colour, depth) for first, colour in colours if colour != DEFAULT_COLOUR]
        parts.append(f"\x1b[{';'.join(codes)}m{span.text}\x1b[0m" if codes else span.text)
    return "".join(parts)


def _code(first: int, colour: str, depth: ColourDepth) -> str:
    """The parameters that choose a colour as ink (`first` is 30) or ground (40)."""
    if not depth.colours:
        return f"{first + 8};2;{';'.join(map(str, levels(colour)))}"
    number = number_of(colour, depth.colours)
    if depth.colours == 256:
        return f"{first + 8};5;{number}"
    return str(first + number if number < 8 else first + 60 + number - 8)
