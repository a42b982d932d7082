"""A drawing of a finished band as plain values: everything in it with its place, in millimetres, and its name.

x counts right from the left edge of the band, y down from the top of its first row. Strings stick out above (y below 0)
and below. These values are all that code needs to paint or describe the drawing.
"""

from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple

from benchmate.craft.colours.colour import Colour, best_ground
from benchmate.craft.knots import Knot
from benchmate.craft.thread.gauge import THICKNESS

TAIL = 5.0
"""How far strings stick out at each end, mm. Chosen for the drawing."""
LOOP = 0.55
"""How far a leading string sticks out where it turns at an edge, mm. Chosen for the drawing."""
MARGIN = 1.5
"""The background left around the drawing, mm. Chosen for the drawing."""
MOST_LONG = 1600.0
"""The most of a band's length to draw, mm: about 19,000 pixels at 12 pixels per mm."""
GROUNDS = ("#f4f1ea", "#b3aa9c", "#22262b")
"""The backgrounds to choose from: a drawing takes the one on which its colours stand out best."""

Point = tuple[float, float]
KnotShape = Literal["diamond", "rectangle"]
"""The shape of a knot: a diamond two positions wide and two rows high, or a rectangle of one position and one row."""


class CannotDraw(ValueError):
    """The design has nothing to draw; the message is one plain line."""


class DrawnKnot(NamedTuple):
    """A knot in its place: its centre, its row and its position (the left one of two), both from 1.

    `part` is the part of the colour's sequence that it shows, here and below; 0 where the thread is not variegated.
    """

    x: float
    y: float
    knot: Knot
    colour: str
    row: int
    place: int
    part: int = 0


class Strand(NamedTuple):
    """A visible stretch of a string or strand: its corner points, colour and thickness, mm.

    Strands with `over` are drawn last, after the knots and all other strands, with a rim.
    """

    way: tuple[Point, ...]
    colour: str
    thick: float = THICKNESS
    over: bool = False
    part: int = 0


class WaitingString(NamedTuple):
    """A string without a knot in a row: the row, its position (both from 1) and its colour."""

    row: int
    place: int
    colour: str
    part: int = 0


class MovedStrand(NamedTuple):
    """A strand that moves from one slot to another.

    The number of the move from 1, its slots, its colour, and how many slots it goes clockwise (negative: the other
    way), the shorter way round.
    """

    move: int
    source: int
    target: int
    colour: str
    by: int
    part: int = 0


class Layout(NamedTuple):
    """A whole drawing, of knots or of moving strands. Its colours are names; `colours` has their values and labels.

    `wide` and `long` are the size of the drawn part, mm, without the strings that stick out. `rows` of the `of_rows`
    rows (or moves) are drawn; one repeat has `once`. `first` and `last` are the colours at every position (or in every
    slot, None for an empty one) before the first drawn row and after the last; `first_parts` and `last_parts` are the
    parts that they show there, and `rest_parts` those in every slot after each move. Where no thread is variegated,
    these are empty.

    `unit` and `across` are the words for a row and a position. `size` gives the size in words where millimetres mean
    nothing. A drawing with `crosses` has moves for rows and no knots.
    """

    title: str
    colours: Mapping[str, Colour]
    wide: float
    long: float
    rows: int
    of_rows: int
    once: int
    first: tuple[str | None, ...]
    last: tuple[str | None, ...]
    unit: str = "row"
    across: str = "string"
    size: str | None = None
    knot_shape: KnotShape = "diamond"
    knots: tuple[DrawnKnot, ...] = ()
    strands: tuple[Strand, ...] = ()
    waits: tuple[WaitingString, ...] = ()
    crosses: tuple[MovedStrand, ...] = ()
    first_parts: tuple[int, ...] = ()
    last_parts: tuple[int, ...] = ()
    rest_parts: tuple[tuple[int, ...], ...] = ()

    def value_of(self, colour: str, part: int = 0) -> str:
        """The value of a colour where it shows a part of its sequence."""
        return self.colours[colour].value_at(part)

    @property
    def ends(self) -> tuple[list[tuple[str | None, int]], list[tuple[str | None, int]]]:
        """The colours and parts of the hanging strings, before the first drawn row and after the last."""
        first, last = (
            [*zip(names, parts or (0,) * len(names), strict=True)]
            for names, parts in ((self.first, self.first_parts), (self.last, self.last_parts))
        )
        return first, last

    @property
    def repeats(self) -> int:
        """The repeats of the whole band."""
        return self.of_rows // self.once

    @property
    def knot_across(self) -> int:
        """How many positions a knot covers."""
        return 2 if self.knot_shape == "diamond" else 1

    @property
    def scales(self) -> tuple[tuple[int, int], ...]:
        """The possible sizes of one position of one row, in terminal squares across and down, the largest first.

        A square is half a cell. The numbers come close to the proportions of the knots; the last scale fits the most.
        """
        if self.crosses:
            return (2, 2), (1, 2)
        return ((2, 2), (1, 1)) if self.knot_shape == "diamond" else ((4, 3), (3, 2), (1, 1))

    @property
    def used(self) -> list[str]:
        """The names of the drawn colours, in the order of the design."""
        shown = {*self.first, *(each.colour for each in self.knots)}
        return [name for name in self.colours if name in shown]

    def ground(self, grounds: Sequence[str] = GROUNDS) -> str:
        """The background, `#rrggbb`: the best of `grounds`. Looks at every knot."""
        return best_ground(grounds, [value for name in self.used for value in self.colours[name].values])

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the drawing with its margin, mm."""
        aside = LOOP + THICKNESS + MARGIN
        return -aside, -TAIL - MARGIN, self.wide + aside, self.long + TAIL + MARGIN
