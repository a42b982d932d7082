"""Lines of coloured text of an exact width in terminal cells, before anything paints them.

Only `rich.cells` decides how many cells a character takes. The bench's framework measures with it too, so a line made
here never breaks there. It is loaded by the first text that is not plain letters, signs or blocks.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

DEFAULT_COLOUR = "default"
"""The terminal's default ink or ground, in place of `#rrggbb`."""
MOST_A_CELL = 16
"""The most characters of a text that are looked at for each cell of its room, marks included: the rest is cut.

So a text of any length takes no longer than one that fills its room.
"""
_INK, _WORD = re.compile(r"\S"), re.compile(r"\S*")
_BLOCKS = "".join(map(chr, (0x20, *range(0x2580, 0x25A0))))
"""The space and the block elements: one cell each."""


class Span(NamedTuple):
    """A run of cells in one style: text, ink and ground (`#rrggbb` or `DEFAULT_COLOUR`), and whether it is bold."""

    text: str
    ink: str = DEFAULT_COLOUR
    ground: str = DEFAULT_COLOUR
    bold: bool = False


Line = tuple[Span, ...]


def cells_of(text: str) -> int:
    """The width of the text in cells: two for a wide character, none for a mark that joins the one before."""
    if _one_each(text):
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def fitted(text: str, width: int) -> str:
    """The text in exactly `width` cells (0 if negative): cut, or padded with spaces.

    Half a wide character becomes a space.
    """
    width = max(0, width)
    text = _seen(text, width)
    if _one_each(text):
        return text[:width].ljust(width)
    from rich.cells import set_cell_size

    return set_cell_size(text, width)


def fits(text: str, width: int) -> bool:
    """Whether the text is at most `width` cells wide. A text of any length is measured only as far as needed."""
    seen = _seen(text, width)
    return len(seen) == len(text) and cells_of(seen) <= width


def _seen(text: str, width: int) -> str:
    """As much of the text as `width` cells can show, and a little more."""
    reach = max(0, width) + 1
    most = MOST_A_CELL * reach
    # Marks take no cells of their own, so more of a text with many of them is needed.
    while reach < min(len(text), most) and cells_of(text[:reach]) <= width:
        reach = min(2 * reach, most)
    return text[:reach]


def _one_each(text: str) -> bool:
    """Whether every character surely takes one cell: all printable ASCII, or all blocks."""
    return (text.isascii() and text.isprintable()) or not text.strip(_BLOCKS)


def width_of(spans: Sequence[Span]) -> int:
    """The width of the spans in cells."""
    return sum(cells_of(span.text) for span in spans)


def cut(text: str, width: int) -> str:
    """The text in at most `width` cells; if it is cut, it ends in two dots."""
    if fits(text, width):
        return text
    return fitted(text, width - 2).rstrip() + ".."[: max(0, width)]


def clip(lines: Sequence[str], count: int, width: int) -> list[str]:
    """At most `count` of the lines, `width` cells wide; if some are left out, the last one ends in two dots."""
    if len(lines) <= count:
        return list(lines)
    if count < 1:
        return []
    last = fitted(lines[count - 1], min(cells_of(lines[count - 1]), width - 2))
    return [*lines[: count - 1], last.rstrip() + ".."[: max(0, width)]]


def joined(spans: Sequence[Span]) -> list[Span]:
    """The spans, neighbours of one style joined. There is at least one span."""
    found = list(spans[:1])
    for span in spans[1:]:
        if span[1:] == found[-1][1:]:
            found[-1] = found[-1]._replace(text=found[-1].text + span.text)
        else:
            found.append(span)
    return found


def on(spans: Sequence[Span], ink: str, ground: str) -> list[Span]:
    """The spans with an ink and a ground where they have the default colours."""
    return [
        span._replace(
            ink=ink if span.ink == DEFAULT_COLOUR else span.ink,
            ground=ground if span.ground == DEFAULT_COLOUR else span.ground,
        )
        for span in spans
    ]


def line(spans: Sequence[Span], width: int, ground: str) -> Line:
    """The spans in exactly `width` cells: cut, or padded with the ground."""
    taken = 0
    kept: list[Span] = []
    for span in spans:
        room = width - taken
        if room <= 0:
            break
        if fits(span.text, room):
            size = cells_of(span.text)
        else:
            span = span._replace(text=fitted(span.text, room))
            size = room
        if size:
            kept.append(span)
            taken += size
    if taken < width:
        kept.append(Span(" " * (width - taken), ground, ground))
    return tuple(kept)


def centred(text: str, width: int) -> str:
    """The text centred in exactly `width` cells, cut if it does not fit."""
    spare = width - cells_of(text) if fits(text, width) else 0
    return fitted(" " * ((spare + 1) // 2) + text, width)


def text_line(text: str, width: int, ink: str, ground: str, *, bold: bool = False, indent: int = 1) -> Line:
    """One line of text, indented and cut to the width."""
    return line([Span(" " * indent + cut(text, width - indent - 1), ink, ground, bold)], width, ground)


def beside(columns: Sequence[Sequence[Line]]) -> list[Line]:
    """Blocks of lines, all of one height, side by side."""
    return [tuple(span for part in parts for span in part) for parts in zip(*columns, strict=True)]


def wrap(text: str, width: int, most: int | None = None) -> list[str]:
    """The text in lines of at most `width` cells (1 if less), broken at spaces where possible.

    With `most`, a line after the first `most` only shows that there is more, and the rest of the text is not read.
    """
    width = max(1, width)
    lines: list[str] = []
    current, filled = "", 0
    reach = MOST_A_CELL * (width + 1) + 1
    at = 0
    while found := _INK.search(text, at):
        start = found.start()
        # Of a long word, no more is looked at than a line can show.
        word = _part_of_word(text, start, reach)
        while not fits(word, width):
            if most is not None and len(lines) > most:
                return lines
            head = fitted(word, width - filled - 1 if current else width).rstrip()
            if head:
                lines.append(f"{current} {head}" if current else head)
                start += len(head)
            elif current:
                lines.append(current)
            else:
                # A wide character does not fit into a single cell.
                start += 1
            current, filled = "", 0
            word = _part_of_word(text, start, reach)
        at = start + len(word)
        size = cells_of(word)
        if not current:
            current, filled = word, size
        elif filled + 1 + size <= width:
            current, filled = f"{current} {word}", filled + 1 + size
        else:
            lines.append(current)
            current, filled = word, size
            if most is not None and len(lines) > most:
                return lines
    return [*lines, current] if current else lines


def _part_of_word(text: str, start: int, most: int) -> str:
    found = _WORD.match(text, start, start + most)
    return found.group() if found else ""


def clipped(text: str, width: int, count: int) -> list[str]:
    """The text in at most `count` lines of at most `width` cells; if it is cut, the last one ends in two dots."""
    return clip(wrap(text, width, max(0, count)), count, width)
