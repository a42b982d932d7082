"""A gauge: how much of a thread its knots take, in millimetres.

The values of six-strand floss are derived, not measured: from the geometry of half hitches in thread of this thickness,
and from the bound that thread fills at most 0.907 (π / 2√3) of the space it lies in. They are estimates until a swatch
or finished pieces correct them, and so is everything computed from them.
"""

from typing import NamedTuple

THICKNESS = 0.72
"""Thickness of a string of six-strand floss, mm. Derived."""


class Gauge(NamedTuple):
    """The gauge of a kind of thread, mm; the defaults are those of six-strand floss.

    `made_mm` is thread for a knot made; `carried_mm` for a knot carried where the strings change places, `stayed_mm`
    where they stay; `waited_mm` for a row waited at the edge. `row_mm` is what a row adds to a diagonal band, `base_mm`
    what it takes of a base string and adds to an alpha band, `wide_mm` the width of a knot. `start_mm` and `finish_mm`
    are what start and finish take of each string, `hold_mm` the shortest end that a hand can still knot with, `tail_mm`
    a cut end. `seen` counts the observations it rests on.
    """

    name: str = "floss"
    made_mm: float = 10.5
    carried_mm: float = 1.95
    stayed_mm: float = 1.4
    waited_mm: float = 1.3
    row_mm: float = 1.3
    base_mm: float = 1.9
    wide_mm: float = 2.45
    start_mm: float = 100.0
    finish_mm: float = 150.0
    hold_mm: float = 50.0
    tail_mm: float = 90.0
    seen: int = 0


FLOSS = Gauge()
"""Six-strand floss, before anything was measured."""
