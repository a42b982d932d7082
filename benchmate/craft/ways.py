"""Ways of working: in which order a design is tied, from which side, and whether as its own mirror image."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.design import Design, Diagonal, Row
from benchmate.craft.knots import Knot
from benchmate.craft.orders import Order, by_rows, by_segments
from benchmate.craft.work import Work
from benchmate.families.diagonal.travel import Tell

NAMES = ("rows", "segments")
"""What the ways of working are called."""

FACING = {
    Knot.FORWARD: Knot.BACKWARD,
    Knot.BACKWARD: Knot.FORWARD,
    Knot.FORWARD_BACKWARD: Knot.BACKWARD_FORWARD,
    Knot.BACKWARD_FORWARD: Knot.FORWARD_BACKWARD,
    None: None,
}
"""Every knot as it looks in a mirror that stands beside the band."""


class Way(NamedTuple):
    """A way of working: `by` rows or segments, the hands beginning `from_right`, the whole design `mirrored`."""

    by: str = "rows"
    from_right: bool = False
    mirrored: bool = False

    @property
    def words(self) -> str:
        """The way in words: `by rows, from the right, mirrored`."""
        extra = (", from the right" if self.from_right else "") + (", mirrored" if self.mirrored else "")
        return f"by {self.by}{extra}"


def way_for(design: Design, way: Way) -> Way:
    """The way as it applies to a design: other than diagonal bands there is one way only."""
    return way if isinstance(design.body, Diagonal) else Way()


def order_of(work: Work, way: Way, history: Sequence[int] = (), tell: Tell | None = None) -> Order:
    """The order of a way of working, with the steps of `history` tied already. By segments this may take a while."""
    if way.by == "segments":
        return by_segments(work, history, from_right=way.from_right, tell=tell)
    return by_rows(work, from_right=way.from_right)


def mirrored(design: Design) -> Design:
    """A diagonal design as its own mirror image, left and right exchanged; any other design as it is."""
    body = design.body
    if not isinstance(body, Diagonal):
        return design
    strings = len(body.strings)
    rows = tuple(
        Row(strings + 2 - row.start - 2 * len(row.knots), tuple(FACING[knot] for knot in reversed(row.knots)))
        for row in body.rows
    )
    return design._replace(body=Diagonal(body.strings[::-1], rows))


def worked_as(design: Design, way: Way) -> Design:
    """The design that is tied when it is worked in this way."""
    return mirrored(design) if way.mirrored else design
