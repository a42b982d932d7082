"""Ways of working: the order of the knots, the side to begin on, and whether to mirror the design."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.design import Design
from benchmate.craft.float_rules import USUAL, FloatRules
from benchmate.craft.orders import Order, by_rows, by_segments
from benchmate.craft.work import ReportProgress, Work

NAMES = ("rows", "segments")
"""The names of the ways of working."""


class Way(NamedTuple):
    """A way of working: `by` rows or segments, beginning `from_right` or not, the design `mirrored` or not."""

    by: str = "rows"
    from_right: bool = False
    mirrored: bool = False

    @property
    def words(self) -> str:
        """The way in words: `by rows, from the right, mirrored`."""
        extra = (", from the right" if self.from_right else "") + (", mirrored" if self.mirrored else "")
        return f"by {self.by}{extra}"


def way_for(design: Design, way: Way) -> Way:
    """The way as it applies to a design; a design with only one way gets that one."""
    return way if design.family.has_mirror_image else Way()


def order_of(work: Work, way: Way, history: Sequence[int] = (), report: ReportProgress | None = None) -> Order:
    """The order for a way of working, with the steps of `history` tied already. By segments this may take a while."""
    if way.by == "segments":
        return by_segments(work, history, from_right=way.from_right, report=report)
    return by_rows(work, from_right=way.from_right)


def mirrored(design: Design) -> Design:
    """The mirror image of a design; unchanged if it has none."""
    return design._replace(body=design.family.mirrored(design.body))


def worked_as(design: Design, way: Way, rules: FloatRules = USUAL) -> Design:
    """The design as this way of working has it, mirrored or not, with the maker's rules for floats."""
    worked = mirrored(design) if way.mirrored else design
    return worked._replace(body=worked.family.with_float_rules(worked.body, rules))
