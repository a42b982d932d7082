"""The shape of a knot: two half hitches, each a rounded strip of the knotting string that leans to its side.

A half hitch to the right leans like `\\`, one to the left like `/`. The first lies at the top; the second locks it and
lies over it. So a forward knot is two strips side by side that lean the same way, and a backward knot is its mirror
image. The other two knots are angles: forward-backward points to the right, backward-forward to the left.

Shapes are polygons around the middle of their knot, in millimetres.
"""

from collections.abc import Callable
from functools import cache
from itertools import pairwise
from math import cos, hypot, pi, sin
from typing import NamedTuple

from benchmate.craft.colours.colour import luminance
from benchmate.craft.drawing import KnotShape, Point, Strand
from benchmate.craft.knots import Knot
from benchmate.craft.thread.gauge import FLOSS

Polygon = tuple[Point, ...]
_Place = Callable[[float, float], Point]


class Shape(NamedTuple):
    """A knot's outline, which touches its neighbours'; its first and second half hitch; a gleam on each.

    `back` is the part of the knotting string visible between the halves when it comes back; None if the knot swaps.
    """

    outline: Polygon
    back: Polygon | None
    halves: tuple[Polygon, Polygon]
    gleams: tuple[Polygon, Polygon]


@cache
def shape_of(knot: Knot, within: KnotShape) -> Shape:
    """The shape of a knot in a diamond, as in a diagonal band, or in a rectangle, as in an alpha band."""
    return _in_rectangle(knot) if within == "rectangle" else _in_diamond(knot)


def outline_of(within: KnotShape) -> Polygon:
    """The outline of a knot: a diamond two rows high, or a rectangle."""
    if within == "rectangle":
        x, y = FLOSS.wide_mm / 2, FLOSS.base_mm / 2
        return ((-x, -y), (x, -y), (x, y), (-x, y))
    return ((0.0, -FLOSS.row_mm), (FLOSS.wide_mm / 2, 0.0), (0.0, FLOSS.row_mm), (-FLOSS.wide_mm / 2, 0.0))


def _in_diamond(knot: Knot) -> Shape:
    """Strips along the edges of a diamond; u runs down its upper right edge, v down its upper left, from 0 to 1."""

    def place(u: float, v: float) -> Point:
        return ((u - v) * FLOSS.wide_mm / 2, (u + v - 1) * FLOSS.row_mm)

    def swapped(u: float, v: float) -> Point:
        return place(v, u)

    first, second = ((place if side == "right" else swapped) for side in knot.halves)
    rim, seam = 0.025, 0.43
    halves = [_strip(first, rim, rim, 1 - rim, seam - 0.02)]
    gleams = [_strip(first, 0.16, 0.12, 0.8 if knot.swaps else 0.42, 0.21)]
    if knot.swaps:
        halves.append(_strip(second, rim, seam, 1 - rim, 1 - rim))
        gleams.append(_strip(second, 0.2, 0.58, 0.84, 0.68))
    else:
        # The second half comes back across the end of the first, which it locks, and covers the middle.
        halves.append(_strip(second, rim, seam - 0.02, 1 - rim, 1 - rim))
        gleams.append(_strip(second, 0.2, 0.72, 0.84, 0.83))
    back = None if knot.swaps else _strip(first, 0.03, 0.42, 0.42, 0.96)
    return Shape(outline_of("diamond"), back, (halves[0], halves[1]), (gleams[0], gleams[1]))


def _in_rectangle(knot: Knot) -> Shape:
    """Strips across a rectangle, one below the other, lower on the side the knot is worked towards."""
    side = 1 if knot.from_left else -1
    sink = 0.42

    def place(u: float, v: float) -> Point:
        return (side * (u - 0.5) * FLOSS.wide_mm, (v - 0.5) * (FLOSS.base_mm - sink) + (u - 0.5) * sink)

    halves = (_strip(place, 0.02, 0.0, 0.98, 0.42), _strip(place, 0.02, 0.43, 0.98, 1.0))
    gleams = (_strip(place, 0.14, 0.1, 0.86, 0.2), _strip(place, 0.14, 0.57, 0.86, 0.68))
    return Shape(outline_of("rectangle"), None, halves, gleams)


def _strip(place: _Place, left: float, top: float, right: float, bottom: float, steps: int = 5) -> Polygon:
    """A rectangle between two values of u and two of v, its corners rounded in millimetres."""
    across = hypot(*_between(place(left, top), place(right, top)))
    down = hypot(*_between(place(left, top), place(left, bottom)))
    round_ = 0.38 * min(across, down)
    u, v = round_ / across * (right - left), round_ / down * (bottom - top)
    corners = (
        (right - u, top + v, -0.5),
        (right - u, bottom - v, 0.0),
        (left + u, bottom - v, 0.5),
        (left + u, top + v, 1.0),
    )
    return tuple(
        place(x + u * cos(pi * (turn + at / steps / 2)), y + v * sin(pi * (turn + at / steps / 2)))
        for x, y, turn in corners
        for at in range(steps + 1)
    )


def _between(one: Point, other: Point) -> Point:
    return (other[0] - one[0], other[1] - one[1])


def smooth(way: Polygon, times: int = 2) -> Polygon:
    """The way with its corners cut `times` times; its ends stay (Chaikin's curve, 1974)."""
    for _ in range(times if len(way) > 2 else 0):
        cut = [way[0]]
        for (x1, y1), (x2, y2) in pairwise(way):
            cut += [(x1 * 0.75 + x2 * 0.25, y1 * 0.75 + y2 * 0.25), (x1 * 0.25 + x2 * 0.75, y1 * 0.25 + y2 * 0.75)]
        way = (*cut, way[-1])
    return way


def mixed(colour: str, other: str, part: float) -> str:
    """A colour with a share `part` of another mixed in, channel by channel; both `#rrggbb`."""
    levels = ((int(colour[at : at + 2], 16), int(other[at : at + 2], 16)) for at in (1, 3, 5))
    return "#" + "".join(f"{round(one + (two - one) * part):02x}" for one, two in levels)


def crease(colour: str) -> str:
    """The colour of the gap between strips: darker than `colour`, or lighter if that is nearly black."""
    return mixed(colour, "#000000", 0.36) if luminance(colour) > 0.02 else mixed(colour, "#ffffff", 0.2)


def shade(colour: str) -> str:
    """The colour of a string further back."""
    return mixed(colour, crease(colour), 0.45)


def gleam(colour: str) -> str:
    """The highlight on a colour."""
    return mixed(colour, "#ffffff", 0.22 if luminance(colour) < 0.6 else 0.55)


class Line(NamedTuple):
    """One line of a strand: its way, its colour and its thickness in mm; its ends are round or square."""

    way: Polygon
    colour: str
    thick: float
    round_ends: bool = True


def lines_of(strand: Strand, value: str, ground: str) -> list[Line]:
    """The lines that make up a strand, drawn on top of each other. An `over` strand has a rim, but not at its ends."""
    way = strand.way if strand.over else smooth(strand.way)
    lines = [
        Line(way, crease(value), strand.thick),
        Line(way, value, strand.thick * 0.72),
        Line(way, gleam(value), strand.thick * 0.16),
    ]
    ends, clear = (way[0], way[-1]), 1.4 * strand.thick
    amid = tuple(point for point in way if all(hypot(*_between(point, end)) > clear for end in ends))
    if strand.over and len(amid) > 1:
        lines.insert(0, Line(amid, ground, strand.thick + 0.8, False))
    return lines
