"""Ways of working: in which order a design is tied, from which side, and whether as its own mirror image."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.design import Design
from benchmate.craft.orders import Order, by_rows, by_segments
from benchmate.craft.work import ReportProgress, Work

NAMES = ("rows", "segments")
"""What the ways of working are called."""


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
    """The way as it applies to a design: where there is only one way, that one."""
    return way if design.family.has_mirror_image else Way()


def order_of(work: Work, way: Way, history: Sequence[int] = (), report: ReportProgress | None = None) -> Order:
    """The order of a way of working, with the steps of `history` tied already. By segments this may take a while."""
    if way.by == "segments":
        return by_segments(work, history, from_right=way.from_right, report=report)
    return by_rows(work, from_right=way.from_right)


def mirrored(design: Design) -> Design:
    """A design as its own mirror image, left and right exchanged; one that has none as it is."""
    return design._replace(body=design.family.mirrored(design.body))


def worked_as(design: Design, way: Way) -> Design:
    """The design that is tied when it is worked in this way."""
    return mirrored(design) if way.mirrored else design
