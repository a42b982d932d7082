"""Pages of plain text lines with a heading and a foot: the calm screens around the step screen."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.bench import lettering
from benchmate.bench.cells import Line, Span, line, text_line, wrap
from benchmate.bench.palette import Palette


class Item(NamedTuple):
    """A line of a page: its text, the key or sign before it, and whether it is the chosen one."""

    text: str
    key: str = ""
    chosen: bool = False


def page(
    heading: str,
    texts: Sequence[str],
    items: Sequence[Item],
    foot: str,
    width: int,
    height: int,
    palette: Palette,
) -> list[Line]:
    """Exactly `height` lines: the heading (in large type where there is room), texts, items, and the foot last."""
    lines = _heading(heading, width, height, len(texts) + len(items), palette)
    room = height - len(lines) - 1
    body: list[Line] = []
    for text in texts:
        body += [text_line(part, width, palette.ink, palette.ground) for part in wrap(text, max(1, width - 2)) or [""]]
    if texts and items:
        body.append(line([], width, palette.ground))
    body += [_item(item, width, palette) for item in items]
    if len(body) > room:
        body = body[len(body) - room :] if len(items) >= room else body[:room]
    body += [line([], width, palette.ground)] * (room - len(body))
    return [*lines, *body, text_line(foot, width, palette.quiet, palette.panel)][:height]


def _heading(heading: str, width: int, height: int, rest: int, palette: Palette) -> list[Line]:
    room = min(height // 3, height - rest - 4)
    drawn = lettering.draw(heading, width - 4, room - 1) if room >= 4 else None
    if drawn is None:
        return [text_line(heading, width, palette.ink, palette.head, bold=True)]
    blank = line([], width, palette.head)
    lines = [line([Span("  " + row, palette.ink, palette.head, True)], width, palette.head) for row in drawn]
    return [*lines, blank] if len(lines) < room - 1 else lines


def _item(item: Item, width: int, palette: Palette) -> Line:
    ink, ground = (palette.ground, palette.ink) if item.chosen else (palette.ink, palette.ground)
    sign = ">" if item.chosen else " "
    key = f"{item.key:<2}" if item.key else ""
    return text_line(
        f"{sign} {key} {item.text}" if key else f"{sign} {item.text}", width, ink, ground, bold=item.chosen
    )
