"""The threads in the box that are nearest to a colour of a design."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.colours.colour import Colour
from benchmate.craft.colours.colour_difference import difference
from benchmate.craft.thread.box_thread import BoxThread

if TYPE_CHECKING:
    from benchmate.craft.design import Design

DEGREES = (
    (1.0, "no difference to see"),
    (2.3, "hardly any difference"),
    (5.0, "close"),
    (10.0, "near, but another shade"),
)
"""Up to which difference a thread is called what.

These are common practice with CIEDE2000, not laws of seeing. A difference of about 1 is just visible, with both threads
side by side in good light; 2.3 is often given as just noticeable. From about 5 people speak of another shade, from
about 10 of another colour.
"""
FURTHER = "another colour"


class Match(NamedTuple):
    """A thread, its difference from the colour wanted (CIEDE2000), and how far off that is, in words."""

    thread: BoxThread
    difference: float
    words: str


class ChosenThread(NamedTuple):
    """A colour of a design and the thread nearest to it; None for a variegated thread, which no other stands for."""

    colour: Colour
    match: Match | None


def matches(colour: str, threads: Sequence[BoxThread], kind: str = "") -> list[Match]:
    """The threads, nearest first, of equally near ones those of a kind; `colour` is `#rrggbb`."""
    found = [Match(thread, off, how_far(off)) for thread in threads for off in (difference(colour, thread.colour),)]
    return sorted(found, key=lambda match: (match.difference, match.thread.kind != kind, match.thread.number))


def in_threads(design: "Design", threads: Sequence[BoxThread]) -> list[ChosenThread]:
    """The nearest thread for each colour that a design is made of; there must be threads."""
    used = design.family.threads(design.body)
    return [
        ChosenThread(colour, None if colour.sequence else matches(colour.value, threads, design.thread)[0])
        for name, colour in design.colours.items()
        if name in used
    ]


def shown_in(design: "Design", chosen: Sequence[ChosenThread]) -> "Design":
    """The design in the colours of these threads."""
    colours = {colour.name: colour._replace(value=match.thread.colour) for colour, match in chosen if match is not None}
    return design._replace(colours={**design.colours, **colours})


def how_far(off: float) -> str:
    """How far off a CIEDE2000 difference is, in words."""
    return next((words for most, words in DEGREES if off <= most), FURTHER)
