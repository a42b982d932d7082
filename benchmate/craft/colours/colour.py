"""The colours of a design, and luminance and contrast by WCAG 2.x. Values are `#rrggbb`."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

from benchmate.craft.colours.colour_difference import LIGHT, difference, levels

BLACK, WHITE = "#000000", "#ffffff"


class ColourLength(NamedTuple):
    """One colour of a variegated thread: its value as `#rrggbb`, how long it goes on, mm, and its name."""

    value: str
    mm: float
    say: str


class Colour(NamedTuple):
    """A colour of a design: its name there, its value as `#rrggbb`, and its label, as shown and spoken.

    `pattern` is not 0 only on a screen with fewer colours than the design has: then the value is shared, and patterns
    tell the colours apart. `sequence` are the colours of a variegated thread, over and over along it; an ordinary
    thread has none. The value of a variegated thread is the average along it, for where one colour stands for all.
    """

    name: str
    value: str
    say: str
    pattern: int = 0
    sequence: tuple[ColourLength, ...] = ()

    def value_at(self, part: int) -> str:
        """The value of part `part` of the sequence, from 0; of an ordinary thread always the same."""
        return self.sequence[part].value if self.sequence else self.value

    @property
    def values(self) -> tuple[str, ...]:
        """The values along the thread, each once."""
        return tuple(dict.fromkeys(each.value for each in self.sequence)) or (self.value,)

    @property
    def described(self) -> str:
        """The label, with the names of the colours of a variegated thread: `dusk (navy, ivory, teal)`."""
        names = ", ".join(dict.fromkeys(each.say for each in self.sequence))
        return f"{self.say} ({names})" if names else self.say


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
    """White where its contrast on the colour is 4.5 to 1 (WCAG 2.2, 1.4.3), else black, which then has it.

    White comes first because terminals with few colours show mid blues too dark.
    """
    return WHITE if contrast(WHITE, colour) >= 4.5 else BLACK


LIKE = 20.0
"""A colour nearer than this to the ground around it (CIEDE2000) needs an edge."""
_EDGES = (BLACK, WHITE, "#555555", "#aaaaaa")


@lru_cache(maxsize=1024)
def is_like(colour: str, ground: str) -> bool:
    """Whether the colour is so like the ground around it that only an edge shows where it ends."""
    return difference(colour, ground) < LIKE


@lru_cache(maxsize=1024)
def edge_between(*colours: str) -> str:
    """The ink for an edge between colours: the one that stands out best from all of them.

    Dark for a light colour on a light ground, light for a dark colour on a dark one, grey where both stand.
    """
    return max(_EDGES, key=lambda edge: min(contrast(edge, colour) for colour in colours))


def best_ground(grounds: Sequence[str], colours: Iterable[str]) -> str:
    """The background on which the lowest contrast of any of the colours is highest."""
    shown = set(colours)
    return max(grounds, key=lambda ground: min((contrast(ground, colour) for colour in shown), default=1.0))
