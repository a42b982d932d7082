"""A drawing of a finished band as values: where everything in it lies, in millimetres, and what it is called.

x counts to the right from the left edge of the band, y downwards from where its first row begins. Strings hang out
above (y below 0) and below. Whoever writes or paints a drawing needs nothing but these values.
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from benchmate.craft.colours.colour import Colour, best_ground
from benchmate.craft.gauge import FLOSS
from benchmate.craft.knots import Knot

TAIL = 5.0
"""How far strings hang out at either end, mm. Chosen for the drawing."""
LOOP = 0.55
"""How far a leading string stands out where it turns at an edge, mm. Chosen for the drawing."""
MARGIN = 1.5
"""The ground that is left around everything drawn, mm. Chosen for the drawing."""
MOST_LONG = 1600.0
"""No more than this is drawn of a band's length, mm: about 19,000 pixels at twelve to the millimetre."""
GROUNDS = ("#f4f1ea", "#b3aa9c", "#22262b")
"""What a drawing lies on: the one before which its colours stand out better."""

Point = tuple[float, float]
KnotShape = Literal["diamond", "rectangle"]
"""How a knot lies: a diamond across two positions and two rows high, or a rectangle in one position of one row."""


class CannotDraw(ValueError):
    """There is nothing in the design to draw: one line of plain words."""


class DrawnKnot(NamedTuple):
    """A knot in its place: its middle, its row and its position (the left one of two), both from 1."""

    x: float
    y: float
    knot: Knot
    colour: str
    row: int
    place: int


class Strand(NamedTuple):
    """A piece of string or strand that shows: the corners of its way, its colour and how thick it is, mm.

    `over` strands are drawn after the knots and all other strands, with a rim that sets them off.
    """

    way: tuple[Point, ...]
    colour: str
    thick: float = FLOSS
    over: bool = False


class WaitingString(NamedTuple):
    """A string that no knot takes in a row: the row, its position (both from 1) and its colour."""

    row: int
    place: int
    colour: str


class MovedStrand(NamedTuple):
    """A strand moved from one slot to another: the move's number from 1, its slots, its colour, and how many slots it
    goes clockwise (or, below 0, the other way), by the shorter way round."""

    move: int
    source: int
    target: int
    colour: str
    by: int


class Layout(NamedTuple):
    """A whole drawing: of knots, or of strands that cross. Colours in it are names; `colours` has their values and how
    they are said.

    `wide` and `long` are the size of all of it that is drawn, mm, strings that hang out aside; `rows` of `of_rows` rows
    are drawn (moves, where strands cross), of which one repeat has `once`. `first` and `last` are the colours of what
    hangs at every position (in every slot, None where it is empty) before the first of these and after the last.

    `unit` and `across` are what a row and a position are called. `size` says how large it is, where millimetres would
    say nothing. Where there are `crosses` the rows are moves, and there are no knots.
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

    @property
    def repeats(self) -> int:
        """How many times the rows are worked in the whole band."""
        return self.of_rows // self.once

    @property
    def knot_across(self) -> int:
        """How many positions a knot takes."""
        return 2 if self.knot_shape == "diamond" else 1

    @property
    def scales(self) -> tuple[tuple[int, int], ...]:
        """How many squares of a terminal a position's share of a row takes across and down, the largest first.

        A square is half a cell. The numbers come near the proportions of the knots; the last scale fits most.
        """
        if self.crosses:
            return (2, 2), (1, 2)
        return ((2, 2), (1, 1)) if self.knot_shape == "diamond" else ((4, 3), (3, 2), (1, 1))

    @property
    def used(self) -> list[str]:
        """The names of the colours that are drawn, in the order in which the design has them."""
        shown = {*self.first, *(each.colour for each in self.knots)}
        return [name for name in self.colours if name in shown]

    def ground(self) -> str:
        """What the drawing lies on, `#rrggbb`. Looks at every knot."""
        return best_ground(GROUNDS, [self.colours[name].value for name in self.used])

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of all that is drawn, with a margin, mm."""
        aside = LOOP + FLOSS + MARGIN
        return -aside, -TAIL - MARGIN, self.wide + aside, self.long + TAIL + MARGIN
