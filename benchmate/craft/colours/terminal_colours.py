"""What terminals can show: 16 colours, 256, or every colour; in colour, or in greys only."""

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from benchmate.craft.colours.colour_difference import difference, lab

SIXTEEN = (
    *("#000000", "#aa0000", "#00aa00", "#b09000", "#0000aa", "#aa00aa", "#00aaaa", "#c0c0c0"),
    *("#666666", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff"),
)
"""The usual values of a terminal's first sixteen colours, in the order of their numbers. Every user may change them.

Number 3 is brown on some terminals and dark yellow on most, 7 and 8 are lighter on some: these are in between.
"""

_LEVELS = (0, 95, 135, 175, 215, 255)
_CUBE = tuple(f"#{red:02x}{green:02x}{blue:02x}" for red in _LEVELS for green in _LEVELS for blue in _LEVELS)
_RAMP = tuple(f"#{level:02x}{level:02x}{level:02x}" for level in range(8, 248, 10))
FIXED = (*_CUBE, *_RAMP)
"""The colours numbered 16 to 255: a cube of 6 by 6 by 6, and 24 greys. Their values are the same in every terminal."""

GREYS = tuple(f"#{level:02x}{level:02x}{level:02x}" for level in range(0, 256, 5))
"""The greys to choose from where every grey can be shown."""

FIRST_FIXED = 16
"""The number of the first of the `FIXED` colours."""


class ColourDepth(NamedTuple):
    """How many colours a terminal shows (16, 256, or 0 for every colour), and whether only greys are wanted."""

    colours: int = 0
    greys: bool = False

    @property
    def choice(self) -> tuple[str, ...]:
        """All the colours to choose from, none twice; none where every colour can be shown."""
        return _choice(self.colours, self.greys)


TRUE_COLOUR = ColourDepth()
"""Every colour."""


def depth_said_by(environment: Mapping[str, str]) -> ColourDepth | None:
    """How many colours a terminal shows, by its environment variables; None for one without any.

    The bench's framework reads the same variables in the same way.
    """
    if environment.get("COLORTERM", "").strip().lower() in ("truecolor", "24bit"):
        return TRUE_COLOUR
    term = environment.get("TERM", "").strip().lower()
    if term in ("dumb", "unknown"):
        return None
    return ColourDepth(256 if term.rpartition("-")[2] in ("256color", "kitty") else 16)


@lru_cache(maxsize=8)
def _choice(colours: int, greys: bool) -> tuple[str, ...]:
    every = {16: SIXTEEN, 256: FIXED}.get(colours, ())
    return tuple(value for value in dict.fromkeys(every) if not greys or is_grey(value))


@lru_cache(maxsize=8)
def _numbers(colours: int) -> dict[str, int]:
    if colours == 16:
        return {value: number for number, value in enumerate(SIXTEEN)}
    return {value: number for number, value in reversed([*enumerate(FIXED, FIRST_FIXED)])}


def number_of(value: str, colours: int) -> int:
    """The number of one of a terminal's 16 or 256 colours, by its exact value `#rrggbb`. Of two, the lower."""
    return _numbers(colours)[value]


def is_grey(value: str) -> bool:
    """Whether the colour is a grey, black and white included."""
    return value[1:3] == value[3:5] == value[5:7]


@lru_cache(maxsize=1024)
def grey_of(value: str) -> str:
    """The grey that is as light as the colour."""
    lightness = lab(value)[0]
    level = min(range(256), key=lambda level: abs(lab(_grey(level))[0] - lightness))
    return _grey(level)


def _grey(level: int) -> str:
    return f"#{level:02x}{level:02x}{level:02x}"


@lru_cache(maxsize=1024)
def nearest(value: str, depth: ColourDepth) -> str:
    """The colour nearest to `value` that can be shown (CIEDE2000); itself, where it can be shown."""
    wanted = grey_of(value) if depth.greys else value
    choice = depth.choice
    if not choice or wanted in choice:
        return wanted
    return min(choice, key=lambda shown: difference(wanted, shown))
