"""The gauge of a design's thread: that of a shipped kind, or one of the maker's own."""

from benchmate.craft.design import Design
from benchmate.craft.float_rules import KnotSize
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.kinds import KINDS
from benchmate.store.places import Home
from benchmate.store.thread.gauges import estimate_of, estimate_with, names


def is_known(home: Home, name: str) -> bool:
    """Whether a thread has a gauge. What the maker keeps is read only for a name that is not shipped."""
    return name in KINDS or name in names(home)


def estimate_for(home: Home, design: Design) -> Estimate:
    """What is known of the thread of a design; one that is not known is taken for floss. Raises StoreError."""
    return estimate_named(home, design.thread)


def estimate_named(home: Home, thread: str) -> Estimate:
    """The same for the name of a thread."""
    return taught(home, thread)[1]


def taught(home: Home, thread: str) -> tuple[str, Estimate]:
    """The gauge that is taught by what is made of a thread, and what is known of it; floss for an unknown thread."""
    known = estimate_of(home, thread)
    return (FLOSS.name, estimate_with(home, FLOSS.name)) if known is None else (thread, known)


def knot_size_for(home: Home, design: Design) -> KnotSize:
    """The size of its knots, by which the leading strings of a picture are planned."""
    return KnotSize.of(estimate_for(home, design).gauge)
