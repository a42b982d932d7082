"""Two strings and their crossings, drawn in cells: the knotting string solid, the passive one striped.

Where one string passes under the other it leaves a gap. Units: the half-cell, half a character cell in both directions,
so twice as tall as wide; a row of half-cells is one integer, the leftmost in bit 0. A string is as thick as it looks:
its thickness is measured in half-cells across, and is half as many of them high.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from math import ceil, hypot, sqrt
from typing import NamedTuple

from benchmate.bench.zones.half_hitch import KNOTTING, PASSIVE, Label, Point, Sketch, sketch
from benchmate.craft.colours.colour import best_ground, contrast, ink_on
from benchmate.craft.shown_step import KnotDrawing
from benchmate.display import large_type as lettering
from benchmate.display.cells import Line, Span, joined, line
from benchmate.display.palette import STRING_GROUNDS, Palette

LEAST = (20, 6)
"""The fewest cells, across and down, in which the crossings can be told apart."""
STRETCH = 12
"""How many points of a way on either side of a crossing belong to it."""
BROADEST = 1.5
"""How much broader than tall, to the eye, a drawing is made at most."""
_BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By the quarters of a cell that are inked: 1 top left, 2 top right, 4 bottom left, 8 bottom right."""


class Place(NamedTuple):
    """A point of the canvas, in half-cells from its left and its top."""

    x: float
    y: float


class Canvas:
    """Rows of half-cells, `wide` x `high`."""

    def __init__(self, wide: int, high: int) -> None:
        self.wide, self.high = wide, high
        self.rows = [0] * high

    def box(self, left: float, top: float, right: float, foot: float) -> None:
        """Fills a rectangle; of a half-cell at its edge, the middle decides."""
        first, end = (min(max(0, ceil(x - 0.5)), self.wide) for x in (left, right))
        span = (1 << end) - (1 << first) if end > first else 0
        for y in range(max(0, ceil(top - 0.5)), min(self.high, ceil(foot - 0.5))):
            self.rows[y] |= span

    def stroke(self, places: Sequence[Place], thick: float) -> None:
        """Draws a line with a round nib; the broader that is, the fewer of the places are needed."""
        tall = thick / 4
        for at in (*places[:: max(1, int(thick) // 6)], *places[-1:]):
            for y in range(max(0, ceil(at.y - tall - 0.5)), min(self.high, ceil(at.y + tall - 0.5))):
                off = abs(y + 0.5 - at.y) / (tall + 0.3)
                half = max(0.5, thick / 2 * sqrt(1 - off * off))
                self.box(at.x - half, y, at.x + half, y + 1)

    def head(self, tip: Place, towards: Place, size: float) -> None:
        """A filled arrowhead, `towards` being a step in its direction, `size` half-cells across from tip to base."""
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
        """Empties what is filled on another canvas."""
        self.rows = [row & ~away for row, away in zip(self.rows, other.rows, strict=True)]

    def add(self, other: "Canvas") -> None:
        """Fills what is filled on another canvas."""
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
        # The passive string fills whole cells, in which there is then no third colour.
        self.middle = 2 * round((self.wide - self.thick) / 4) + self.thick / 2
        self.half = min(across / 2, self.middle - 1, self.wide - 1 - self.middle)
        self.foot = self.high - (1 if self.high < 24 else 2)

    def canvas(self) -> Canvas:
        return Canvas(self.wide, self.high)

    def place(self, point: Point | Label) -> Place:
        return Place(self.middle + point.x * self.half, self.work + point.y * (self.foot - self.work))

    def along(self, way: Sequence[Point]) -> list[Place]:
        """Places close enough to each other for a line without holes."""
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
    """The two strings, each on its own canvas, with gaps where it passes under."""
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
        # Only the stretch that passes under is broken, not what else of that string lies near by.
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
    """The part of a way around a place on it."""
    return way[max(0, int(at) - STRETCH) : int(at) + STRETCH + 2]


def _striped(canvas: Canvas, thick: int) -> Canvas:
    """The same with slanting stripes left out, and where it is thick enough with whole edges."""
    drawn = Canvas(canvas.wide, canvas.high)
    edge, stripe = max(1, thick // 7), max(2, thick // 2)
    for y, row in enumerate(canvas.rows):
        if thick < 4:
            # There may be one row alone to be seen of it, and there has to be something in that.
            inked = [x for x in range(canvas.wide) if row >> x & 1 and not x & y & 1]
        else:
            # The slant is slight, so that a string which hangs aslant is striped across as well.
            inked = [x for x in range(canvas.wide) if row >> x & 1 and (2 * y + x // 2) // stripe % 2 == 0]
        edges = row & ~((row << edge) & (row >> edge)) if thick >= 4 else 0
        drawn.rows[y] = edges | sum(1 << x for x in inked)
    return drawn


@lru_cache(maxsize=64)
def draw(drawing: KnotDrawing, left: str, right: str, width: int, height: int, palette: Palette) -> tuple[Line, ...]:
    """Exactly `height` lines of `width` cells, at least `LEAST` of them; `left` and `right` colour the two strings."""
    made = sketch(drawing)
    frame = Frame(width, height)
    knotting, passive = (left, right) if drawing.knot.from_left else (right, left)
    ground = best_ground(STRING_GROUNDS[palette], [left, right])
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
    cells = [[_cell(layers, x, y, ground) for x in range(width)] for y in range(height)]
    taken = frame.canvas()
    for canvas in (signs, work, *hung):
        taken.add(canvas)
    for label in made.labels:
        _write(label, frame, taken, cells, ink, ground)
    return tuple(line(joined(row), width, ground) for row in cells)


def _draw_arrow(made: Sketch, frame: Frame, signs: Canvas) -> None:
    one, tip = (frame.place(point) for point in made.ways[KNOTTING][-2:])
    signs.head(tip, Place(tip.x - one.x, tip.y - one.y), frame.head)


def _cell(layers: Sequence[tuple[Canvas, str]], x: int, y: int, ground: str) -> Span:
    """One cell: two colours at most, those of which there is most in it."""
    inked = []
    for canvas, colour in layers:
        top, low = (canvas.rows[row] >> (2 * x) & 3 for row in (2 * y, 2 * y + 1))
        if top or low:
            inked.append((top | low << 2, colour))
    if not inked:
        return Span(" ", ground, ground)
    inked.sort(key=lambda each: -each[0].bit_count())
    (quarters, colour), *others = inked
    if others and others[0][0] | quarters == 15:
        return Span(_BLOCKS[quarters], colour, others[0][1])
    return Span(_BLOCKS[quarters | sum(more for more, _ in others[:1])], colour, ground)


def _write(label: Label, frame: Frame, taken: Canvas, cells: list[list[Span]], ink: str, ground: str) -> None:
    """Puts a word near its place, as large as there is room for between the strings; nowhere when there is none."""
    place = frame.place(label)
    middle = Place(place.x / 2, place.y / 2)
    word = label.word.upper()
    largest = max(3, min(6, frame.high // 10))
    drawn = [lettering.draw(word, len(cells[0]) - 2, rows) for rows in range(largest, 2, -1)] if label.large else []
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
    """Where the top left corner of a word stands, in cells, as near to its place as there is room; None for nowhere."""
    across, down = taken.wide // 2, taken.high // 2
    left, top = middle.x - wide / 2, middle.y - high / 2
    spots = [
        (x, y)
        for x in range(max(1, int(left) - wide), min(across - 1 - wide, int(left) + wide) + 1)
        for y in range(max(0, int(top) - 2), min(down - high, int(top) + 3) + 1)
        if taken.free(2 * x - 2, 2 * y - 1, 2 * (x + wide) + 2, 2 * (y + high) + 1)
    ]
    return min(spots, key=lambda spot: hypot(spot[0] - left, 2 * (spot[1] - top)), default=None)
