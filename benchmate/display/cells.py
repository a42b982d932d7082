"""Lines of coloured text for a terminal's cells, of an exact width, before any framework sees them."""

from collections.abc import Sequence
from typing import NamedTuple

from rich.cells import cell_len, set_cell_size


class Span(NamedTuple):
    """A run of cells in one style: text, ink and ground as `#rrggbb`, and whether it is bold."""

    text: str
    ink: str
    ground: str
    bold: bool = False


Line = tuple[Span, ...]


def width_of(spans: Sequence[Span]) -> int:
    """How many cells the spans take."""
    return sum(cell_len(span.text) for span in spans)


def cut(text: str, width: int) -> str:
    """The text in at most `width` cells; what does not fit is cut off, and two dots say so."""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, max(0, width - 2)).rstrip() + ".."[: max(0, width)]


def clip(lines: Sequence[str], count: int, width: int) -> list[str]:
    """At most `count` of the lines of text, `width` cells wide; where some are left out, two dots say so."""
    if len(lines) <= count:
        return list(lines)
    if count < 1:
        return []
    last = set_cell_size(lines[count - 1], max(0, min(cell_len(lines[count - 1]), width - 2)))
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
        size = cell_len(span.text)
        if size > room:
            span = span._replace(text=set_cell_size(span.text, room))
            size = room
        if size:
            kept.append(span)
            taken += size
    if taken < width:
        kept.append(Span(" " * (width - taken), ground, ground))
    return tuple(kept)


def centred(text: str, width: int) -> str:
    """The text in the middle of exactly `width` cells, cut where it does not fit."""
    spare = max(0, width - cell_len(text))
    return set_cell_size(" " * ((spare + 1) // 2) + text, width)


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
        while cell_len(word) > width:
            head = set_cell_size(word, max(0, width - cell_len(current) - 1) if current else width).rstrip()
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
        elif cell_len(current) + 1 + cell_len(word) <= width:
            current += " " + word
        else:
            lines.append(current)
            current = word
    return [*lines, current] if current else lines
