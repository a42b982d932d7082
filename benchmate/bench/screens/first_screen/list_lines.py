"""The lines of a shelf: entries under their headings, scrolled so that the chosen one shows."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.choosing.shelves import Entry, Group
from benchmate.display.cells import Line, Span, cells_of, cut, fits, fitted, line
from benchmate.display.palette import Palette

LEAST_TITLE = 20
"""The fewest cells of a title that a remark after it may leave."""


class Row(NamedTuple):
    """A row of the whole list: the heading of a group, or the entry with this number."""

    heading: str
    entry: Entry | None = None
    number: int = -1


def rows_of(groups: Sequence[Group]) -> list[Row]:
    """All rows; entries are numbered through all groups."""
    rows: list[Row] = []
    number = 0
    for group in groups:
        rows.append(Row(group.heading))
        for entry in group.entries:
            rows.append(Row(group.heading, entry, number))
            number += 1
    return rows


def first_visible(rows: Sequence[Row], chosen: int, first: int, height: int) -> int:
    """The row at the top so that the chosen entry shows below it and no line stays empty; `first` was there before.

    The top line is always a heading, and takes the place of the row there.
    """
    at = next((place for place, row in enumerate(rows) if row.number == chosen), 0)
    first = min(first, at - 1)
    first = max(first, at - height + 1)
    return max(0, min(first, len(rows) - height))


def list_lines(rows: Sequence[Row], chosen: int, first: int, width: int, height: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines of `width` cells, from the row `first` on."""
    seen = rows[first : first + height]
    lines = [_line(row, row.number == chosen, width, palette) for row in seen[1:]]
    if seen:
        lines.insert(0, _heading(seen[0].heading, width, palette))
    return lines + [line([], width, palette.ground)] * (height - len(lines))


def _line(row: Row, chosen: bool, width: int, palette: Palette) -> Line:
    if row.entry is None:
        return _heading(row.heading, width, palette)
    ink, ground = (palette.ground, palette.ink) if chosen else (palette.ink, palette.ground)
    room = width - 4
    title = row.entry.title
    remarks = [text for text in row.entry.remarks if fits(text, room - LEAST_TITLE)]
    remark = next((text for text in remarks if fits(f"{title}  {text}", room)), remarks[-1] if remarks else "")
    left = room - cells_of(remark) - 2 if remark else room
    text = f"{'>' if chosen else ' '} {fitted(cut(title, left), left)}{f'  {remark}' if remark else ''}"
    return line([Span(f" {text}", ink, ground, chosen)], width, ground)


def _heading(text: str, width: int, palette: Palette) -> Line:
    return line([Span(f" {cut(text, width - 2)}", palette.quiet, palette.ground, True)], width, palette.ground)
