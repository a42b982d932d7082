"""Lines of coloured text for a terminal's cells, of an exact width, before anything paints them.

How many cells a character takes is asked of `rich.cells` alone: the bench's framework measures with it when it paints,
so a line made here is never torn there. It is loaded by the first text that is not plain letters, signs or blocks.
"""

from collections.abc import Sequence
from typing import NamedTuple

OWN = "default"
"""The terminal's own ink or ground, whatever it is, in place of `#rrggbb`."""
_BLOCKS = "".join(map(chr, (0x20, *range(0x2580, 0x25A0))))
"""The space and the block elements, one cell each."""


class Span(NamedTuple):
    """A run of cells in one style: text, ink and ground as `#rrggbb` or `OWN`, and whether it is bold."""

    text: str
    ink: str = OWN
    ground: str = OWN
    bold: bool = False


Line = tuple[Span, ...]


def cells_of(text: str) -> int:
    """How many cells the text takes: two for a wide character, none for a mark that joins the one before."""
    if _one_each(text):
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def fitted(text: str, width: int) -> str:
    """The text in exactly `width` cells (none when that is below 0): cut, or filled up with spaces.

    A wide character of which only half has room becomes a space.
    """
    width = max(0, width)
    if _one_each(text):
        return text[:width].ljust(width)
    from rich.cells import set_cell_size

    return set_cell_size(text, width)


def _one_each(text: str) -> bool:
    """Whether the text is plain letters and signs, or blocks: each in one cell, with no need to ask."""
    return (text.isascii() and text.isprintable()) or not text.strip(_BLOCKS)


def width_of(spans: Sequence[Span]) -> int:
    """How many cells the spans take."""
    return sum(cells_of(span.text) for span in spans)


def cut(text: str, width: int) -> str:
    """The text in at most `width` cells; what does not fit is cut off, and two dots say so."""
    if cells_of(text) <= width:
        return text
    return fitted(text, width - 2).rstrip() + ".."[: max(0, width)]


def clip(lines: Sequence[str], count: int, width: int) -> list[str]:
    """At most `count` of the lines of text, `width` cells wide; where some are left out, two dots say so."""
    if len(lines) <= count:
        return list(lines)
    if count < 1:
        return []
    last = fitted(lines[count - 1], min(cells_of(lines[count - 1]), width - 2))
    return [*lines[: count - 1], last.rstrip() + ".."[: max(0, width)]]


def joined(spans: Sequence[Span]) -> list[Span]:
    """The spans with those that follow one another in one style as one. There is at least one."""
    found = list(spans[:1])
    for span in spans[1:]:
        if span[1:] == found[-1][1:]:
            found[-1] = found[-1]._replace(text=found[-1].text + span.text)
        else:
            found.append(span)
    return found


def line(spans: Sequence[Span], width: int, ground: str) -> Line:
    """The spans in exactly `width` cells: cut at the end, or filled up with the ground."""
    taken = 0
    kept: list[Span] = []
    for span in spans:
        room = width - taken
        if room <= 0:
            break
        size = cells_of(span.text)
        if size > room:
            span = span._replace(text=fitted(span.text, room))
            size = room
        if size:
            kept.append(span)
            taken += size
    if taken < width:
        kept.append(Span(" " * (width - taken), ground, ground))
    return tuple(kept)


def centred(text: str, width: int) -> str:
    """The text in the middle of exactly `width` cells, cut where it does not fit."""
    spare = max(0, width - cells_of(text))
    return fitted(" " * ((spare + 1) // 2) + text, width)


def text_line(text: str, width: int, ink: str, ground: str, *, bold: bool = False, indent: int = 1) -> Line:
    """One line of text, cut to the width, with a margin before it."""
    return line([Span(" " * indent + cut(text, width - indent - 1), ink, ground, bold)], width, ground)


def beside(columns: Sequence[Sequence[Line]]) -> list[Line]:
    """Blocks of lines of equal height put side by side."""
    return [tuple(span for part in parts for span in part) for parts in zip(*columns, strict=True)]


def wrap(text: str, width: int) -> list[str]:
    """The text in lines of at most `width` cells, broken at spaces where there are any."""
    lines: list[str] = []
    current = ""
    for word in text.split():
        while cells_of(word) > width:
            head = fitted(word, width - cells_of(current) - 1 if current else width).rstrip()
            if not head and current:
                lines.append(current)
                current = ""
                continue
            if not head:
                # A wide character has no room in a single cell.
                word = word[1:]
                continue
            lines.append(f"{current} {head}" if current else head)
            current, word = "", word[len(head) :]
        if not current:
            current = word
        elif cells_of(current) + 1 + cells_of(word) <= width:
            current += " " + word
        else:
            lines.append(current)
            current = word
    return [*lines, current] if current else lines
