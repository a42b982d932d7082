"""Colours as the terminal shows them: all of them, 256 or sixteen; only greys under `NO_COLOR`."""

from functools import lru_cache
from typing import Any

from rich.color import Color, ColorType
from rich.color_triplet import ColorTriplet
from textual.app import App

from benchmate.craft.colours.colour_difference import levels
from benchmate.craft.colours.terminal_colours import ColourDepth, nearest, number_of

COLOURS = {"standard": 16, "windows": 16, "256": 256}
"""The number of colours in the framework's colour systems, where they are few."""


@lru_cache(maxsize=8)
def _depth(system: str | None, greys: bool) -> ColourDepth:
    return ColourDepth(COLOURS.get(system or "", 0), greys)


def depth_of(app: App[Any]) -> ColourDepth:
    """How many colours the app's terminal shows, and whether only greys are wanted."""
    return _depth(app.console.color_system, app.no_color)


@lru_cache(maxsize=1024)
def sent(colour: str, depth: ColourDepth) -> Color:
    """The colour `#rrggbb` as it is sent to the terminal: by its number where there are few, the nearest if need be.

    The framework changes no colour that has a number for this terminal and a value of its own.
    """
    value = nearest(colour, depth)
    triplet = ColorTriplet(*levels(value))
    if not depth.colours:
        return Color(value, ColorType.TRUECOLOR, triplet=triplet)
    kind = ColorType.STANDARD if depth.colours == 16 else ColorType.EIGHT_BIT
    return Color(value, kind, number_of(value, depth.colours), triplet)
