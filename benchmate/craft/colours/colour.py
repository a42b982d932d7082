"""A maker's colours, and light and contrast of colours by WCAG 2.x. Values are `#rrggbb`."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

from benchmate.craft.colours.colour_difference import LIGHT, levels

BLACK, WHITE = "#000000", "#ffffff"


class Colour(NamedTuple):
    """A colour of the maker's own: its name in the design, its value as `#rrggbb`, and how it is said."""

    name: str
    value: str
    say: str


@lru_cache(maxsize=1024)
def luminance(colour: str) -> float:
    """Relative luminance, 0 (black) to 1 (white), of a colour in sRGB (WCAG 2.2, relative luminance)."""
    red, green, blue = (LIGHT[level] for level in levels(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, contrast ratio)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def ink_on(colour: str) -> str:
    """White where it stands out at 4.5 to 1 on the colour (WCAG 2.2, 1.4.3), else black, which then does.

    White goes before black because terminals of few colours make mid blues darker than they are.
    """
    return WHITE if contrast(WHITE, colour) >= 4.5 else BLACK


def best_ground(grounds: Sequence[str], colours: Iterable[str]) -> str:
    """The one of `grounds` on which the colour that stands out least stands out most."""
    shown = set(colours)
    return max(grounds, key=lambda ground: min((contrast(ground, colour) for colour in shown), default=1.0))
