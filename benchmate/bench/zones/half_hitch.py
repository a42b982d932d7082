"""The ways of the two strings in a knot, half hitch by half hitch: points, and which string is over where they cross.

Nothing here knows how large a drawing is or what it is drawn with. The work, from which the strings hang, is at y = 0,
and y = 1 is the foot of the drawing; the passive string hangs straight down at x = 0, and x goes from -1 on the left to
1 on the right. A third figure is the height of a string over the table: of two that cross, the higher is over.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from benchmate.craft.shown_step import KnotDrawing

ROUNDS = 3
"""How often the corners of a way are cut off: each time what is left of them is rounder."""


class Point(NamedTuple):
    """A point of a string's way: across, down, and how high over the table."""

    x: float
    y: float
    z: float


class Crossing(NamedTuple):
    """Where two strings cross, or one crosses itself.

    `over` and `under` are the strings, by their place in the sketch; `over_at` and `under_at` how far along each of
    them it is, as the number of a point and a part of the way to the next.
    """

    x: float
    y: float
    over: int
    over_at: float
    under: int
    under_at: float


class Label(NamedTuple):
    """A word, the place it belongs to, and whether it tells what the hands do now, in large type where that fits."""

    word: str
    x: float
    y: float
    large: bool = True


class Sketch(NamedTuple):
    """A moment of a knot: the ways of the knotting string and of the passive string, and what is said about them.

    `tied` are the half hitches that are pulled tight, as the points over which each lies. `arrow` is whether the end of
    the knotting string goes on in the direction it points in; `held` whether the end of the passive string is held.
    """

    ways: tuple[tuple[Point, ...], tuple[Point, ...]]
    crossings: tuple[Crossing, ...]
    tied: tuple[tuple[Point, ...], ...]
    arrow: bool
    held: bool
    labels: tuple[Label, ...]


KNOTTING, PASSIVE = 0, 1
"""The places of the two strings in a sketch."""

_TIED = 0.14
"""How far down a half hitch lies that has been pulled up against the work."""


@lru_cache(maxsize=64)
def sketch(drawing: KnotDrawing) -> Sketch:
    """The strings at a moment of a knot. What is drawn for the one side is the mirror image of the other."""
    knot, half = drawing.knot, drawing.half
    if half == 0:
        made = _hanging() if drawing.phase == "hold" else _done(swaps=knot.swaps)
        return made if knot.from_left else mirrored(made)
    made = _half_hitch(drawing.phase, second=half == 2)
    return made if knot.halves[half - 1] == "right" else mirrored(made)


def mirrored(made: Sketch) -> Sketch:
    """The sketch with left and right exchanged."""
    ways, tied = (tuple(tuple(p._replace(x=-p.x) for p in way) for way in some) for some in (made.ways, made.tied))
    crossings = tuple(crossing._replace(x=-crossing.x) for crossing in made.crossings)
    labels = tuple(label._replace(x=-label.x) for label in made.labels)
    return made._replace(ways=(ways[0], ways[1]), tied=tied, crossings=crossings, labels=labels)


def _half_hitch(phase: str, *, second: bool) -> Sketch:
    """A half hitch to the right, the knotting string coming from the left.

    It is laid over the passive string, in the shape of a figure 4; goes back behind that and through the loop, over
    itself; and is pulled up to the right.
    """
    if phase == "over":
        turns = [(-0.25, 0, 1), (-0.8, 0.58, 1), (0.95, 0.58, 1)]
        labels = [Label("over", 0.6, 0.26)]
    elif phase == "under":
        turns = [(-0.2, 0, 1), (-0.58, 0.74, 1), (0.3, 0.74, 1), (0.62, 0.74, 1), (0.62, 0.37, -1), (0.3, 0.37, -1)]
        turns += [(-0.16, 0.37, -1), (-0.2, 0.37, 2), (-1, 0.37, 2)]
        labels = [Label("under", 0.6, 0.14), Label("out", -0.8, 0.12)]
    else:
        turns = [(-0.3, 0, 1), (-0.62, 0.1, 1), (-0.9, 0.45, 1), (-0.8, 0.73, 1), (0, 0.73, 1), (0.4, 0.73, 1)]
        turns += [(0.4, 0.5, -1), (0, 0.5, -1), (-0.44, 0.5, 2), (-0.44, 0.27, 2), (0, 0.27, 2), (0.5, 0.27, 2)]
        turns += [(0.74, 0.27, 2), (0.74, 0.04, 2)]
        labels = [Label("pull", 0.74, 0.48)]
    top = _TIED if second else 0
    first = [Point(-0.08, _TIED, 1), Point(-0.2, _TIED, 1)] if second else [Point(-0.3, 0, 1)]
    points = [*first, *(Point(x, top + (1 - top) * y, z) for x, y, z in turns[1:])]
    straight = (Point(0, 0, 0), Point(0, 1, 0))
    labels = [label._replace(y=top + (1 - top) * label.y) for label in labels]
    return _sketch(
        rounded(points),
        straight,
        tied=[_tied(_TIED)] if second else [],
        arrow=True,
        held=True,
        labels=[*labels, Label("hold", -0.4, 0.95, large=False)],
    )


def _hanging() -> Sketch:
    """Both strings as they hang, the knotting one on the left."""
    straight = (Point(0, 0, 0), Point(0, 1, 0))
    way = rounded([Point(-0.3, 0, 1), Point(-0.4, 0.4, 1), Point(-0.6, 0.9, 1)])
    return _sketch(way, straight, held=True, labels=[Label("hold", 0.4, 0.85)])


def _done(*, swaps: bool) -> Sketch:
    """The knot, both of its halves pulled up; the knotting string came from the left."""
    ends = 0.55 if swaps else -0.55
    way = [Point(-0.3, 0, 1), Point(-0.1, 0.3, 1), Point(0, 0.4, 1), Point(ends / 4, 0.52, 1), Point(ends, 0.95, 1)]
    other = [Point(0.3, 0, 0), Point(0.1, 0.3, 0), Point(0, 0.4, 0), Point(-ends / 4, 0.52, 0), Point(-ends, 0.95, 0)]
    return _sketch(rounded(way), rounded(other), tied=[_tied(0.34), _tied(0.5)])


def _tied(y: float) -> tuple[Point, Point]:
    return (Point(-0.1, y, 3), Point(0.1, y, 3))


def _sketch(
    way: tuple[Point, ...],
    passive: tuple[Point, ...],
    *,
    tied: Sequence[tuple[Point, ...]] = (),
    arrow: bool = False,
    held: bool = False,
    labels: Sequence[Label] = (),
) -> Sketch:
    ways = (way, passive)
    return Sketch(ways, tuple(crossings(ways)), tuple(tied), arrow, held, tuple(labels))


def rounded(points: Sequence[Point]) -> tuple[Point, ...]:
    """A way without sharp corners: each is cut off at a quarter of its two sides, again and again (Chaikin 1974)."""
    way = list(points)
    for _ in range(ROUNDS):
        cut = [way[0]]
        for one, other in pairwise(way):
            cut += [_between(one, other, 0.25), _between(one, other, 0.75)]
        way = [*cut, way[-1]]
    return tuple(way)


def _between(one: Point, other: Point, part: float) -> Point:
    return Point(*(a + (b - a) * part for a, b in zip(one, other, strict=True)))


def crossings(ways: Sequence[Sequence[Point]]) -> list[Crossing]:
    """Every crossing of the ways with each other and with themselves, in order along the first."""
    found = []
    for first, way in enumerate(ways):
        for second in range(first, len(ways)):
            for at, (a, b) in enumerate(pairwise(way)):
                # Of a way with itself every pair of pieces is looked at once, and neighbours share a point.
                start = at + 2 if second == first else 0
                for other, (c, d) in enumerate(pairwise(ways[second][start:]), start):
                    met = _met(a, b, c, d)
                    if met is not None:
                        here, there = _between(a, b, met[0]), _between(c, d, met[1])
                        one, two = (first, at + met[0]), (second, other + met[1])
                        over, under = (one, two) if here.z > there.z else (two, one)
                        found.append(Crossing(here.x, here.y, *over, *under))
    return found


def _met(a: Point, b: Point, c: Point, d: Point) -> tuple[float, float] | None:
    """How far along both pieces they cross, from 0 to less than 1; None when they do not."""
    along, across = (b.x - a.x, b.y - a.y), (d.x - c.x, d.y - c.y)
    turn = along[0] * across[1] - along[1] * across[0]
    if turn == 0:
        return None
    away = (c.x - a.x, c.y - a.y)
    one = (away[0] * across[1] - away[1] * across[0]) / turn
    other = (away[0] * along[1] - away[1] * along[0]) / turn
    return (one, other) if 0 <= one < 1 and 0 <= other < 1 else None
