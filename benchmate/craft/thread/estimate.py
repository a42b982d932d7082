"""What a gauge expects a string to need, and how much more to cut so that it does not run short."""

from typing import Protocol

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.gauge import FLOSS, Gauge

UNSEEN_SHARE = 0.2
"""The spare while nothing was measured, as a share of the need (common practice)."""


class Learned(Protocol):
    """What was learned of a gauge from what its maker measured."""

    def spare_mm(self, counts: Counts) -> float:
        """What keeps a string from running short in 49 of 50 pieces, beyond what it needs by the gauge, mm."""

    @property
    def is_far_off(self) -> bool:
        """True when the thread seems to be quite another one than its name says, or the lengths not to be in mm."""

    def range_mm(self, field: str) -> tuple[float, float] | None:
        """The range that a number of the gauge lies in, 19 times in 20; None for a number that is not learned."""


class Estimate:
    """A gauge, with what was seen of it, and what to beware of in this thread."""

    def __init__(self, gauge: Gauge = FLOSS, learned: Learned | None = None, caution: str = "") -> None:
        self.gauge = gauge
        self.learned = learned
        self.caution = caution

    def needs_mm(self, counts: Counts) -> float:
        """The thread that a string needs between its start and its finish, mm."""
        gauge = self.gauge
        return (
            counts.made * gauge.made_mm
            + counts.carried * gauge.carried_mm
            + counts.stayed * gauge.stayed_mm
            + counts.waited * gauge.waited_mm
        )

    def spare_mm(self, counts: Counts) -> float:
        """What to cut beyond that, so that the string by itself lasts in 49 of 50 pieces, mm."""
        if self.learned is None or not self.gauge.seen:
            return UNSEEN_SHARE * self.needs_mm(counts)
        return self.learned.spare_mm(counts)
