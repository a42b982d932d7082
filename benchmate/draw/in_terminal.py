"""The drawing in a terminal: as many lines of text as it takes, each exactly as wide as the window.

A band is longer than a window is high, so where there is a limit to the lines it goes on in a further column to the
right, as a text does in a newspaper.
"""

from collections.abc import Iterator, Sequence
from itertools import count, groupby
from typing import NamedTuple
from unicodedata import bidirectional, east_asian_width
from unicodedata import category as kind_of

from benchmate.craft.drawing import Layout
from benchmate.craft.telling import tags
from benchmate.draw.cell_image import SPACE, Cell, Image, Line, in_colour, in_signs
from benchmate.draw.drawn_words import drawn_words
from benchmate.files.words import shown

BETWEEN = 2
"""Cells between two columns."""
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
        legend = legend if len(legend) <= most else [*legend[: most - 1], _text("(more colours)")]
    # The less is seen, the more there is to say about it, and the less room is left.
    for aside in count(1):
        room = None if height_limit is None else max(LEAST_LINES, height_limit - 1 - aside - len(legend))
        columns = _chosen(layout, images, width, room)
        said = _wrapped(_said(layout, columns), width)
        if len(said) <= aside:
            break
    lines = [_text(_cut(shown(layout.title), width)), *_side_by_side(columns), *map(_text, said), *legend]
    return [_painted(line, width) for line in lines[:height_limit]]


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
    yield _text("".join(f"{image.rows[start]:<{wide}}" for start in starts).rstrip())
    for at in range(high):
        line: list[Cell] = []
        for start in starts:
            shown_here = image.lines[start + at] if start + at < len(image.lines) else ()
            line += [*shown_here, *[SPACE] * (wide - len(shown_here))]
        yield tuple(line[:-BETWEEN])


def _said(layout: Layout, columns: _Columns) -> str:
    """The drawing in words, and how what is seen of it differs from all of it."""
    words = [drawn_words(layout)]
    if columns.last_row < layout.rows:
        words.append(f"here {layout.unit}s 1 to {columns.last_row}")
    if columns.abreast > 1:
        words.append("each column goes on to its right")
    if columns.image.apart > 1:
        down = "" if layout.crosses else f" and as many {layout.unit}s"
        words.append(f"scaled down to fit: one place stands for {columns.image.apart} {layout.across}s{down}")
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
    lines: list[list[Cell]] = [[]]
    for name in layout.used:
        colour = layout.colours[name]
        mark = [Cell("█", colour.value)] * 2 if colours else [Cell(sign) for sign in called[name]]
        item = [*mark, SPACE, *_text(_cut(shown(colour.say), max(0, width - 3)))]
        gap = [SPACE] * 2 if lines[-1] else []
        if _width(lines[-1]) + len(gap) + _width(item) > width and lines[-1]:
            lines.append([])
            gap = []
        lines[-1] += [*gap, *item]
    return [tuple(line) for line in lines]


def _text(text: str) -> Line:
    return tuple(map(Cell, text))


def cells_of(text: str) -> int:
    """How many cells a text takes: two for wide characters (UAX 11), none for marks that join the one before."""
    return sum(0 if kind_of(sign) in ("Mn", "Me") else 2 if east_asian_width(sign) in "WF" else 1 for sign in text)


def _width(line: Sequence[Cell]) -> int:
    return sum(cells_of(cell.sign) for cell in line)


def _cut(text: str, width: int) -> str:
    """The text in at most so many cells; two dots stand for what is cut off."""
    if cells_of(text) <= width:
        return text
    while text and cells_of(text) > width - 2:
        text = text[:-1]
    return text + ".."[:width]


def _wrapped(text: str, width: int) -> list[str]:
    lines = [""]
    for word in text.split():
        word = _cut(word, width)
        if lines[-1] and cells_of(lines[-1]) + 1 + cells_of(word) > width:
            lines.append("")
        lines[-1] += f" {word}" if lines[-1] else word
    return lines


def _painted(line: Line, width: int) -> str:
    """The line in exactly so many cells, with sequences only where a colour begins and where all end."""
    kept: list[Cell] = []
    for cell in line:
        if _width(kept) + cells_of(cell.sign) > width:
            break
        kept.append(cell)
    parts = []
    for (ink, ground), cells in groupby(kept, key=lambda cell: (cell.ink, cell.ground)):
        text = "".join(cell.sign for cell in cells)
        codes = [f"{code};2;{_levels(colour)}" for code, colour in ((38, ink), (48, ground)) if colour is not None]
        parts.append(f"\x1b[{';'.join(codes)}m{text}\x1b[0m" if codes else text)
    return "".join(parts) + " " * (width - _width(kept))


def _levels(colour: str) -> str:
    return ";".join(str(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
