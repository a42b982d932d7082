"""The timer of pace mode: a bar that gets shorter, with the seconds in large type and the keys on it."""

from itertools import accumulate
from math import ceil

from benchmate.bench.zones.view_values import Beat
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, cut, fits, fitted, line
from benchmate.display.palette import Palette


def timer(beat: Beat, width: int, height: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines."""
    count = str(ceil(beat.left))
    drawn = large_type.draw(count, width // 3, height) if height > 2 else None
    figures = [f" {row}  " for row in drawn] if drawn else [""]
    above = (height - len(figures)) // 2
    room = width - len(figures[0])
    title, (pauses, back, pace) = f" DONE IN {count}", beat.keys
    if height > 2:
        says = [title, f" {pauses}  {back}", f" {pace}"]
    else:
        texts = [title, *accumulate((f"{title}  {pauses}", back, pace), "{}  {}".format)]
        says = [next((text for text in reversed(texts) if fits(text, room - 1)), cut(texts[0], room))]
    full = min(width, round(width * beat.left / beat.seconds))
    lines = []
    for at in range(height):
        figure = figures[at - above] if 0 <= at - above < len(figures) else " " * len(figures[0])
        words = says[at - height + len(says)] if at >= height - len(says) else ""
        text = fitted(figure + cut(words, room), width)
        head = fitted(text, full)
        spans = [
            Span(head, palette.alarm_ink, palette.alarm, True),
            Span(text[len(head) :], palette.ink, palette.panel, True),
        ]
        lines.append(line(spans, width, palette.panel))
    return lines
