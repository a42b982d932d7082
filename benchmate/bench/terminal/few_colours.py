"""Keeps lines readable on terminals with few colours: sixteen, or only greys under `NO_COLOR`."""

from collections.abc import Callable
from functools import lru_cache

from rich.color import Color, ColorSystem
from textual.color import Color as ExactColor

from benchmate.craft.colours.colour import BLACK, WHITE, contrast, ink_on
from benchmate.display.cells import Line, Span

LEAST = 3.0
"""The least contrast of bold or large text (WCAG 2.2, success criterion 1.4.3)."""
SWATCH = frozenset(" █▀")
"""The characters that threads are drawn with. In bold they are large type, or the bar over the knotting string."""


def readable(line: Line, shown: Callable[[str], str]) -> Line:
    """The line with black and white ink exchanged where the text would lack contrast on the ground as shown.

    `shown` gives the colour that the terminal really shows.
    """
    return tuple(_readable(span, shown) for span in line)


def _readable(span: Span, shown: Callable[[str], str]) -> Span:
    if span.ink not in (BLACK, WHITE) or (not span.bold and SWATCH.issuperset(span.text)):
        return span
    ground = shown(span.ground)
    return span if contrast(span.ink, ground) >= LEAST else span._replace(ink=ink_on(ground))


@lru_cache(maxsize=1024)
def nearest(colour: str) -> str:
    """The nearest of a terminal's sixteen colours, by their usual values."""
    red, green, blue = Color.parse(colour).downgrade(ColorSystem.STANDARD).get_truecolor()
    return f"#{red:02x}{green:02x}{blue:02x}"


@lru_cache(maxsize=1024)
def grey(colour: str) -> str:
    """The grey that the framework shows for a colour under `NO_COLOR`."""
    return ExactColor.parse(colour).monochrome.hex.lower()


def nearest_grey(colour: str) -> str:
    """The grey shown for a colour under `NO_COLOR` on a terminal with sixteen colours."""
    return nearest(grey(colour))
