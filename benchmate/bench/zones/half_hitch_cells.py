"""Two strings and their crossings, drawn in cells: the knotting string solid, the passive one striped.

Where one string passes under the other, it has a gap. The unit is the half-cell: half a character cell in both
directions, so twice as tall as wide. A row of half-cells is one integer, the leftmost in bit 0. Thickness is given in
half-cells across; it takes half as many down.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from math import ceil, hypot, sqrt
from typing import NamedTuple

from benchmate.bench.zones.half_hitch import KNOTTING, PASSIVE, Label, Point, Sketch, sketch
from benchmate.craft.colours.colour import best_ground, contrast, edge_between, ink_on, is_like
from benchmate.craft.shown_step import KnotDrawing
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, joined, line
from benchmate.display.palette import Palette

LEAST = (20, 6)
"""The fewest cells, across and down, that keep the crossings apart."""
STRETCH = 12
"""How many points of a path on either side of a crossing belong to it."""
BROADEST = 1.5
"""The widest shape of a drawing: width over height, as the eye sees it."""
_BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Indexed by the inked quarters of a cell: 1 top left, 2 top right, 4 bottom left, 8 bottom right."""


class Place(NamedTuple):
    """A point of the canvas, in half-cells from its left and top edges."""

    x: float
    y: float


class Canvas:
    """Rows of half-cells, `wide` x `high`."""

    def __init__(self, wide: int, high: int) -> None:
        self.wide, self.high = wide, high
        self.rows = [0] * high

    def box(self, left: float, top: float, right: float, foot: float) -> None:
        """Fills a rectangle. A half-cell at its edge is filled when its middle is inside."""
        first, end = (min(max(0, ceil(x - 0.5)), self.wide) for x in (left, right))
        span = (1 << end) - (1 << first) if end > first else 0
        for y in range(max(0, ceil(top - 0.5)), min(self.high, ceil(foot - 0.5))):
            self.rows[y] |= span

    def stroke(self, places: Sequence[Place], thick: float) -> None:
        """Draws a line with a round nib. A broader nib needs fewer of the places."""
        tall = thick / 4
        for at in (*places[:: max(1, int(thick) // 6)], *places[-1:]):
            for y in range(max(0, ceil(at.y - tall - 0.5)), min(self.high, ceil(at.y + tall - 0.5))):
                off = abs(y + 0.5 - at.y) / (tall + 0.3)
                half = max(0.5, thick / 2 * sqrt(1 - off * off))
                self.box(at.x - half, y, at.x + half, y + 1)

    def head(self, tip: Place, towards: Place, size: float) -> None:
        """A filled arrowhead pointing along `towards`, `size` half-cells across from tip to base."""
        long = hypot(towards.x, 2 * towards.y)
        ahead = (towards.x / long, 2 * towards.y / long)
        for y in range(max(0, int(tip.y - size)), min(self.high, ceil(tip.y + size))):
            for x in range(max(0, int(tip.x - size)), min(self.wide, ceil(tip.x + size))):
                right, down = x + 0.5 - tip.x, 2 * (y + 0.5 - tip.y)
                back = -(right * ahead[0] + down * ahead[1])
                aside = abs(down * ahead[0] - right * ahead[1])
                if 0 <= back <= size and aside <= 0.7 * back:
                    self.rows[y] |= 1 << x

    def erase(self, other: "Canvas") -> None:
        """Empties every half-cell that is filled on another canvas."""
        self.rows = [row & ~away for row, away in zip(self.rows, other.rows, strict=True)]

    def rim(self) -> "Canvas":
        """The half-cells next to the filled ones, above, below and beside them."""
        found = Canvas(self.wide, self.high)
        whole = (1 << self.wide) - 1
        for y, row in enumerate(self.rows):
            beside = self.rows[y - 1 : y] + self.rows[y + 1 : y + 2]
            around = row << 1 | row >> 1
            for other in beside:
                around |= other
            found.rows[y] = around & ~row & whole
        return found

    def add(self, other: "Canvas") -> None:
        """Fills every half-cell that is filled on another canvas."""
        self.rows = [row | more for row, more in zip(self.rows, other.rows, strict=True)]

    def free(self, left: int, top: int, right: int, foot: int) -> bool:
        """Whether nothing is filled in a rectangle, which may reach beyond the edges."""
        span = (1 << max(0, right)) - (1 << max(0, left))
        return not any(row & span for row in self.rows[max(0, top) : max(0, foot)])


class Frame:
    """Where a sketch lies on a canvas, and how thick its strings are."""

    def __init__(self, width: int, height: int) -> None:
        self.wide, self.high = 2 * width, 2 * height
        tall = 2 * self.high
        size = min(self.wide, tall)
        self.thick = max(2, 2 * int(size / 24 + 0.7))
        self.gap = max(2.0, self.thick * 0.6)
        self.head = max(6.0, self.thick * 1.8)
        self.work = 1 if self.high < 24 else 2
        across = min(self.wide - 2, tall * BROADEST)
        # The passive string fills whole cells, so that no cell needs a third colour.
        self.middle = 2 * round((self.wide - self.thick) / 4) + self.thick / 2
        self.half = min(across / 2, self.middle - 1, self.wide - 1 - self.middle)
        self.foot = self.high - (1 if self.high < 24 else 2)

    def canvas(self) -> Canvas:
        return Canvas(self.wide, self.high)

    def place(self, point: Point | Label) -> Place:
        return Place(self.middle + point.x * self.half, self.work + point.y * (self.foot - self.work))

    def along(self, way: Sequence[Point]) -> list[Place]:
        """Places along a path, close enough together for a line without holes."""
        corners = [self.place(point) for point in way]
        places = [corners[0]]
        for one, other in pairwise(corners):
            steps = max(1, ceil(1.4 * max(abs(other.x - one.x), abs(other.y - one.y))))
            places += [
                Place(one.x + (other.x - one.x) * step / steps, one.y + (other.y - one.y) * step / steps)
                for step in range(1, steps + 1)
            ]
        return places


def strings(made: Sketch, frame: Frame) -> list[Canvas]:
    """The two strings, each on its own canvas, with gaps where it passes under the other."""
    canvases = []
    for string, way in enumerate(made.ways):
        canvas = frame.canvas()
        places = frame.along(way)
        if string == KNOTTING and made.arrow:
            places = [place for place in places if _apart(place, places[-1]) > frame.head]
        canvas.stroke(places, frame.thick)
        canvases.append(canvas)
    for crossing in made.crossings:
        over, under = (
            frame.along(_stretch(made.ways[string], at))
            for string, at in ((crossing.over, crossing.over_at), (crossing.under, crossing.under_at))
        )
        middle = frame.place(Label("", crossing.x, crossing.y))
        gap, above = frame.canvas(), frame.canvas()
        gap.stroke([place for place in over if _apart(place, middle) <= frame.thick], frame.thick + 2 * frame.gap)
        above.stroke(over, frame.thick)
        # Break only the stretch that passes under, not other parts of that string nearby.
        below = frame.canvas()
        below.stroke(under, frame.thick)
        gap.rows = [row & hidden for row, hidden in zip(gap.rows, below.rows, strict=True)]
        if crossing.over == crossing.under:
            gap.erase(above)
        canvases[crossing.under].erase(gap)
    for tied in made.tied:
        band, halo = frame.canvas(), frame.canvas()
        band.stroke(frame.along(tied), frame.thick * 1.6)
        halo.stroke(frame.along(tied), frame.thick * 1.6 + 1.4 * frame.gap)
        canvases[PASSIVE].erase(halo)
        canvases[KNOTTING].add(band)
    for one, other in pairwise(made.tied):
        ends = [frame.place(point) for point in (one[0], other[-1])]
        seam, high = frame.canvas(), max(1, frame.thick // 6)
        top = (ends[0].y + ends[1].y - high) / 2
        left, right = sorted(place.x for place in ends)
        seam.box(left - 2 * frame.thick, top, right + 2 * frame.thick, top + high)
        canvases[KNOTTING].erase(seam)
    return canvases


def _apart(one: Place, other: Place) -> float:
    """How far apart two places look, in half-cells across."""
    return hypot(one.x - other.x, 2 * (one.y - other.y))


def _stretch(way: Sequence[Point], at: float) -> Sequence[Point]:
    """The part of a path around a place on it."""
    return way[max(0, int(at) - STRETCH) : int(at) + STRETCH + 2]


def _striped(canvas: Canvas, thick: int) -> Canvas:
    """The canvas with slanting stripes cut out, and whole edges where the string is thick enough."""
    drawn = Canvas(canvas.wide, canvas.high)
    edge, stripe = max(1, thick // 7), max(2, thick // 2)
    for y, row in enumerate(canvas.rows):
        if thick < 4:
            # Sometimes only one row of the string shows, so every row needs some ink.
            inked = [x for x in range(canvas.wide) if row >> x & 1 and not x & y & 1]
        else:
            # The slant is slight, so that the stripes also run across a slanting string.
            inked = [x for x in range(canvas.wide) if row >> x & 1 and (2 * y + x // 2) // stripe % 2 == 0]
        edges = row & ~((row << edge) & (row >> edge)) if thick >= 4 else 0
        drawn.rows[y] = edges | sum(1 << x for x in inked)
    return drawn


@lru_cache(maxsize=64)
def draw(drawing: KnotDrawing, left: str, right: str, width: int, height: int, palette: Palette) -> tuple[Line, ...]:
    """Exactly `height` lines of `width` cells, no fewer than `LEAST`; `left` and `right` are the strings' colours."""
    made = sketch(drawing)
    frame = Frame(width, height)
    knotting, passive = (left, right) if drawing.knot.from_left else (right, left)
    ground = best_ground(palette.string_grounds, [left, right])
    ink = ink_on(ground)
    hung = strings(made, frame)
    signs, work = frame.canvas(), frame.canvas()
    work.box(0, 0, frame.wide, frame.work)
    if made.held:
        end = frame.place(made.ways[PASSIVE][-1])
        signs.box(end.x - 2 * frame.thick, frame.foot - frame.work, end.x + 2 * frame.thick, frame.foot)
    if made.arrow:
        _draw_arrow(made, frame, signs)
    beyond = frame.canvas()
    beyond.box(0, frame.foot, frame.wide, frame.high)
    for canvas in hung:
        for other in (signs, work, beyond):
            canvas.erase(other)
    quiet = max((palette.quiet, palette.head), key=lambda colour: contrast(colour, ground))
    layers = [(signs, ink), (work, quiet), (hung[KNOTTING], knotting), (_striped(hung[PASSIVE], frame.thick), passive)]
    taken = frame.canvas()
    for canvas in (signs, work, *hung):
        taken.add(canvas)
    edges = frame.canvas()
    for canvas, colour in zip(hung, (knotting, passive), strict=True):
        if is_like(colour, ground):
            edges.add(canvas.rim())
    edges.erase(taken)
    edge = edge_between(ground, left, right)
    cells = [[_cell(layers, (edges, edge), x, y, ground) for x in range(width)] for y in range(height)]
    for label in made.labels:
        _write(label, frame, taken, cells, ink, ground)
    return tuple(line(joined(row), width, ground) for row in cells)


def _draw_arrow(made: Sketch, frame: Frame, signs: Canvas) -> None:
    one, tip = (frame.place(point) for point in made.ways[KNOTTING][-2:])
    signs.head(tip, Place(tip.x - one.x, tip.y - one.y), frame.head)


def _cell(layers: Sequence[tuple[Canvas, str]], edges: tuple[Canvas, str], x: int, y: int, ground: str) -> Span:
    """One cell, in at most two colours: those that fill most of it. An edge comes before all others."""
    inked = [(found, colour) for canvas, colour in layers if (found := _quarters(canvas, x, y))]
    inked.sort(key=lambda each: -each[0].bit_count())
    edge = _quarters(edges[0], x, y)
    if edge:
        beside = inked[0][1] if inked and 2 * inked[0][0].bit_count() >= 4 - edge.bit_count() else ground
        return Span(_BLOCKS[edge], edges[1], beside)
    if not inked:
        return Span(" ", ground, ground)
    (quarters, colour), *others = inked
    if others and others[0][0] | quarters == 15:
        return Span(_BLOCKS[quarters], colour, others[0][1])
    return Span(_BLOCKS[quarters | sum(more for more, _ in others[:1])], colour, ground)


def _quarters(canvas: Canvas, x: int, y: int) -> int:
    """The filled quarters of a cell, as in `_BLOCKS`."""
    top, low = (canvas.rows[row] >> (2 * x) & 3 for row in (2 * y, 2 * y + 1))
    return top | low << 2


def _write(label: Label, frame: Frame, taken: Canvas, cells: list[list[Span]], ink: str, ground: str) -> None:
    """Puts a word near its place, as large as the strings leave room for; leaves it out where there is none."""
    place = frame.place(label)
    middle = Place(place.x / 2, place.y / 2)
    word = label.word.upper()
    largest = max(3, min(6, frame.high // 10))
    drawn = [large_type.draw(word, len(cells[0]) - 2, rows) for rows in range(largest, 2, -1)] if label.large else []
    for letters in (*drawn, (word,)):
        spot = None if letters is None else _spot(middle, len(letters[0]), len(letters), taken)
        if letters is None or spot is None:
            continue
        left, top = spot
        for down, text in enumerate(letters):
            for across, sign in enumerate(text):
                cells[top + down][left + across] = Span(sign, ink, ground, True)
        taken.box(2 * left, 2 * top, 2 * (left + len(letters[0])), 2 * (top + len(letters)))
        return


def _spot(middle: Place, wide: int, high: int, taken: Canvas) -> tuple[int, int] | None:
    """The cell for the top left corner of a word, as near to its place as there is room; None where there is none."""
    across, down = taken.wide // 2, taken.high // 2
    left, top = middle.x - wide / 2, middle.y - high / 2
    spots = [
        (x, y)
        for x in range(max(1, int(left) - wide), min(across - 1 - wide, int(left) + wide) + 1)
        for y in range(max(0, int(top) - 2), min(down - high, int(top) + 3) + 1)
        if taken.free(2 * x - 2, 2 * y - 1, 2 * (x + wide) + 2, 2 * (y + high) + 1)
    ]
    return min(spots, key=lambda spot: hypot(spot[0] - left, 2 * (spot[1] - top)), default=None)
