"""Lines of cells on a terminal of sixteen colours, which makes of every colour the nearest it has."""

from functools import lru_cache

from rich.color import Color, ColorSystem

from benchmate.bench.cells import Line, Span
from benchmate.craft.colour import BLACK, WHITE, contrast, ink_on

LEAST = 3.0
"""Contrast that text in bold or large type has to keep (WCAG 2.2, success criterion 1.4.3)."""


def in_sixteen(line: Line) -> Line:
    """The line with black for white, or white for black, where the text would sink into what its ground becomes."""
    return tuple(_readable(span) for span in line)


def _readable(span: Span) -> Span:
    if span.ink not in (BLACK, WHITE) or contrast(span.ink, nearest(span.ground)) >= LEAST:
        return span
    return span._replace(ink=ink_on(nearest(span.ground)))


@lru_cache(maxsize=1024)
def nearest(colour: str) -> str:
    """What a terminal of sixteen colours, by their usual values, makes of a colour."""
    red, green, blue = Color.parse(colour).downgrade(ColorSystem.STANDARD).get_truecolor()
    return f"#{red:02x}{green:02x}{blue:02x}"
