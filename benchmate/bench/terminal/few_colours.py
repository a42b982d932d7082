"""Lines of cells on a terminal that shows other colours: sixteen, or greys alone where colour is not wanted."""

from collections.abc import Callable
from functools import lru_cache

from rich.color import Color, ColorSystem
from textual.color import Color as ExactColor

from benchmate.craft.colours.colour import BLACK, WHITE, contrast, ink_on
from benchmate.display.cells import Line, Span

LEAST = 3.0
"""Contrast that text in bold or large type has to keep (WCAG 2.2, success criterion 1.4.3)."""
SWATCH = frozenset(" █▀")
"""What threads are drawn with. In bold, it is large type or the maker's bar."""


def readable(line: Line, shown: Callable[[str], str]) -> Line:
    """The line with black for white, or white for black, where the text would sink into what its ground becomes.

    `shown` is what the terminal makes of a colour.
    """
    return tuple(_readable(span, shown) for span in line)


def _readable(span: Span, shown: Callable[[str], str]) -> Span:
    if span.ink not in (BLACK, WHITE) or (not span.bold and SWATCH.issuperset(span.text)):
        return span
    ground = shown(span.ground)
    return span if contrast(span.ink, ground) >= LEAST else span._replace(ink=ink_on(ground))


@lru_cache(maxsize=1024)
def nearest(colour: str) -> str:
    """What a terminal of sixteen colours, by their usual values, makes of a colour."""
    red, green, blue = Color.parse(colour).downgrade(ColorSystem.STANDARD).get_truecolor()
    return f"#{red:02x}{green:02x}{blue:02x}"


@lru_cache(maxsize=1024)
def grey(colour: str) -> str:
    """What the framework makes of a colour where none is wanted."""
    return ExactColor.parse(colour).monochrome.hex.lower()


def nearest_grey(colour: str) -> str:
    """What is left of a colour where none is wanted and there are only sixteen."""
    return nearest(grey(colour))
