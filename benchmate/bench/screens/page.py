"""Pages with a heading, lines of text and a foot: the layout of every screen but the step screen."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.display import large_type
from benchmate.display.cells import Line, Span, cells_of, clip, clipped, fits, line, text_line, wrap
from benchmate.display.palette import Palette

SWATCH = "    "
"""The room before the text of an item for its colour: three cells of it, and one free."""


class Item(NamedTuple):
    """A line of a list: its text, the key before it, whether it is chosen, and a colour to show before its text."""

    text: str
    key: str = ""
    chosen: bool = False
    swatch: str = ""


def page(
    heading: str,
    texts: Sequence[str],
    items: Sequence[Item],
    foot: str,
    width: int,
    height: int,
    palette: Palette,
) -> list[Line]:
    """Exactly `height` lines: the heading (in large type where there is room), texts, items, and the foot last.

    Three spaces separate the parts of the foot. Where not everything fits, the texts are cut short, and only the items
    around the chosen one are shown.
    """
    feet = [text_line(part, width, palette.quiet, palette.panel) for part in _foot(foot, width - 2)]
    # Only what the page can hold is laid out.
    wrapped = [part for text in texts for part in wrap(text, max(1, width - 2), height) or [""]]
    lines = _heading(heading, width, height, len(wrapped) + _lines_of(items, width, height), palette)
    room = max(0, height - len(lines) - len(feet))
    for_items = room - min(len(wrapped) + 1, room // 3) if wrapped else room
    shown = [
        line for item in _around_chosen(items, width, height, for_items) for line in _item(item, width, height, palette)
    ]
    shown = shown[: max(0, for_items)]
    between = [line([], width, palette.ground)] if wrapped and items else []
    wrapped = clip(wrapped, room - len(shown) - len(between), width - 2)
    body = [text_line(text, width, palette.ink, palette.ground) for text in wrapped]
    body = [*body, *between, *shown][:room]
    body += [line([], width, palette.ground)] * (room - len(body))
    return [*lines, *body, *feet][:height]


def fits_whole(texts: Sequence[str], items: Sequence[Item], foot: str, width: int, height: int) -> bool:
    """Whether a page of one line of heading can show all of its texts and items."""
    taken = 1 + len(_foot(foot, width - 2)) + _lines_of(items, width, height) + bool(texts and items)
    return taken + sum(len(wrap(text, max(1, width - 2), height) or [""]) for text in texts) <= height


def _foot(foot: str, width: int) -> list[str]:
    lines: list[str] = []
    for part in foot.split("   "):
        if lines and cells_of(f"{lines[-1]}   {part}") <= width:
            lines[-1] += f"   {part}"
        else:
            lines.append(part)
    return lines


def foot_lines(parts: Sequence[str], width: int, most: int) -> list[str]:
    """The parts in at most `most` lines of text, three spaces between two; parts that do not fit are left out."""
    lines = [""]
    for part in parts:
        longer = f"{lines[-1]}   {part}" if lines[-1] else part
        if cells_of(longer) <= width - 2:
            lines[-1] = longer
        elif len(lines) < most and cells_of(part) <= width - 2:
            lines.append(part)
    return lines


def _around_chosen(items: Sequence[Item], width: int, height: int, room: int) -> Sequence[Item]:
    """The items that fit into `room` lines: from the first one, or from a later one so that the chosen one is shown."""
    chosen = next((at for at, item in enumerate(items) if item.chosen), 0)
    first, taken = chosen, sum(len(_parts(item, width, height)) for item in items[chosen : chosen + 1])
    while first and (taken := taken + len(_parts(items[first - 1], width, height))) <= room:
        first -= 1
    return items[first : first + max(1, room)]


def _lines_of(items: Sequence[Item], width: int, height: int) -> int:
    """How many lines the items take, counted up to `height`."""
    count = 0
    for item in items:
        if count >= height:
            break
        count += len(_parts(item, width, height))
    return count


def _heading(heading: str, width: int, height: int, rest: int, palette: Palette) -> list[Line]:
    room = min(height // 3, height - rest - 4)
    drawn = large_type.draw(heading, width - 4, room - 1) if room >= 4 else None
    if drawn is None:
        return [text_line(heading, width, palette.ink, palette.head, bold=True)]
    blank = line([], width, palette.head)
    lines = [line([Span("  " + row, palette.ink, palette.head, True)], width, palette.head) for row in drawn]
    return [*lines, blank] if len(lines) < room - 1 else lines


def _before(item: Item) -> str:
    key = f"{item.key:<2} " if item.key else ""
    return f"{'>' if item.chosen else ' '} {key}{SWATCH if item.swatch else ''}"


def _parts(item: Item, width: int, height: int) -> list[str]:
    """The item's text in lines, at most half as many as the page has."""
    room = max(1, width - len(_before(item)) - 2)
    return [item.text] if fits(item.text, room) else clipped(item.text, room, max(2, height // 2))


def _item(item: Item, width: int, height: int, palette: Palette) -> list[Line]:
    ink, ground = (palette.ground, palette.ink) if item.chosen else (palette.ink, palette.ground)
    parts, before = _parts(item, width, height), _before(item)
    before_each = [before, *[" " * len(before)] * len(parts)]
    lines = [
        text_line(sign + part, width, ink, ground, bold=item.chosen)
        for sign, part in zip(before_each, parts, strict=False)
    ]
    if item.swatch and lines:
        sign = Span(f" {before.removesuffix(SWATCH)}", ink, ground, item.chosen)
        colour = Span(SWATCH[1:], ink, item.swatch)
        lines[0] = line([sign, colour, Span(f" {parts[0]}", ink, ground, item.chosen)], width, ground)
    return lines
