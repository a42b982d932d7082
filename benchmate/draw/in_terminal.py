"""The drawing in a terminal: as many lines of text as it takes, each exactly as wide as the window.

A band is longer than a window is high, so where there is a limit to the lines it goes on in a further column to the
right, as a text does in a newspaper.
"""

from collections.abc import Iterator, Sequence
from itertools import count
from typing import NamedTuple
from unicodedata import bidirectional

from benchmate.craft.drawing import Layout
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.step_words import tags
from benchmate.display.cells import OWN, Line, Span, beside, cells_of, cut, joined, line, width_of, wrap
from benchmate.draw.cell_image import Image, in_colour, in_signs
from benchmate.draw.drawn_words import drawn_words
from benchmate.files.words import shown

BETWEEN = 2
"""Cells between two columns, and between two colours of the legend."""
LEAST_LINES = 4
"""Lines the drawing itself has at least, where there are so many."""
REPEATS = 2
"""How many repeats have to be seen, or all of fewer, before a smaller scale is preferred."""


class _Columns(NamedTuple):
    """An image cut into columns of so many lines, side by side; the rest is left out."""

    image: Image
    high: int
    abreast: int

    @property
    def last_row(self) -> int:
        """The last row that is seen."""
        return self.image.rows[min(len(self.image.lines), self.high * self.abreast) - 1]


def in_terminal(layout: Layout, width: int, height_limit: int | None = None, *, colours: bool = True) -> list[str]:
    """The drawing with its title, its size in words and its colours, in lines of exactly `width` cells.

    There are at most `height_limit` lines, if given. With `colours` the text holds sequences that set 24-bit colours
    (ISO 8613-6, direct colour in RGB) and no other control characters; without, none, and signs tell the colours apart.
    """
    width = max(1, width)
    called = _tags(layout)
    images = _images(layout, called, width, colours=colours)
    legend = _legend(layout, called, width, colours=colours)
    if height_limit is not None:
        most = max(1, (height_limit - 2) // 4)
        legend = legend if len(legend) <= most else [*legend[: most - 1], (Span("(more colours)"),)]
    # The less is seen, the more there is to say about it, and the less room is left.
    for aside in count(1):
        room = None if height_limit is None else max(LEAST_LINES, height_limit - 1 - aside - len(legend))
        columns = _chosen(layout, images, width, room)
        said = wrap(_said(layout, columns), width)
        if len(said) <= aside:
            break
    title = Span(cut(shown(layout.title), width))
    lines = [(title,), *_side_by_side(columns), *((Span(text),) for text in said), *legend]
    return [_painted(spans, width) for spans in lines[:height_limit]]


def _images(layout: Layout, called: dict[str, str], width: int, *, colours: bool) -> list[Image]:
    """The drawing in every scale that is not too wide, or else in one that is made to fit."""
    if not colours:
        return [in_signs(layout, called, width)]
    return [
        in_colour(layout, across, down, width)
        for across, down in layout.scales
        if len(layout.first) * across <= width - 2 or across == 1
    ]


def _chosen(layout: Layout, images: Sequence[Image], width: int, room: int | None) -> _Columns:
    """The largest scale that shows enough, or the smallest."""
    found = [_columns(image, width, room) for image in images]
    enough = min(layout.rows, REPEATS * layout.once)
    return next((columns for columns in found if columns.last_row >= enough), found[-1])


def _columns(image: Image, width: int, room: int | None) -> _Columns:
    lines = len(image.lines)
    if room is None or lines <= room:
        return _Columns(image, lines, 1)
    fit = max(1, (width + BETWEEN) // (max(image.width, len(str(image.rows[-1]))) + BETWEEN))
    # Over several columns stand the numbers of their first rows.
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
    parts = [[line(part, wide, OWN) for part in image.lines[start : start + high]] for start in starts]
    parts[-1] += [line((), wide, OWN)] * (high - len(parts[-1]))
    yield from beside(parts)


def _said(layout: Layout, columns: _Columns) -> str:
    """The drawing in words, and how what is seen of it differs from all of it."""
    words = [drawn_words(layout)]
    if columns.last_row < layout.rows:
        words.append(f"here {layout.unit}s 1 to {columns.last_row}")
    if columns.abreast > 1:
        words.append("each column goes on to its right")
    if columns.image.apart > 1:
        down = "" if layout.crosses else f" and as many {layout.unit}s"
        words.append(f"scaled down to fit: one place stands for {counted(columns.image.apart, layout.across)}{down}")
    return "; ".join(words)


def _tags(layout: Layout) -> dict[str, str]:
    """A tag of exactly two cells for every colour: signs of one cell that keep their place on the line."""
    plain = {
        name: "".join(sign for sign in colour.say if cells_of(sign) == 1 and bidirectional(sign) in ("L", "EN"))
        for name, colour in layout.colours.items()
    }
    return {name: f"{tag:<2}" for name, tag in tags(plain).items()}


def _legend(layout: Layout, called: dict[str, str], width: int, *, colours: bool) -> list[Line]:
    """The colours that are drawn and what they are called."""
    lines: list[list[Span]] = [[]]
    for name in layout.used:
        colour = layout.colours[name]
        mark = Span("██", colour.value) if colours else Span(called[name])
        item = [mark, Span(" " + cut(shown(colour.say), width - 3))]
        if lines[-1] and width_of(lines[-1]) + BETWEEN + width_of(item) > width:
            lines.append([])
        lines[-1] += [Span(" " * BETWEEN), *item] if lines[-1] else item
    return [tuple(each) for each in lines]


def _painted(spans: Sequence[Span], width: int) -> str:
    """The spans in exactly so many cells, with sequences only where a colour begins and where all end."""
    parts = []
    for span in joined(line(spans, width, OWN)):
        colours = ((38, span.ink), (48, span.ground))
        codes = [f"{code};2;{_levels(colour)}" for code, colour in colours if colour != OWN]
        parts.append(f"\x1b[{';'.join(codes)}m{span.text}\x1b[0m" if codes else span.text)
    return "".join(parts)


def _levels(colour: str) -> str:
    return ";".join(str(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
