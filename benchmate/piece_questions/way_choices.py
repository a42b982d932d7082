"""The ways of working to choose from, and the pick-ups that each still takes."""

from typing import NamedTuple

from benchmate.craft.orders import by_rows, fewest_left, pickups
from benchmate.craft.ways import Way
from benchmate.store.open_piece import OpenPiece

COUNTED = 20_000
"""The most steps left for which the pick-ups are counted, so that nobody waits for the question."""
ONE_WAY = "This design has one way of working."
MIRROR_BEFORE = "Mirroring is possible only before the first step."


class WayChoice(NamedTuple):
    """A way of working to choose: the key for it on the screen, its words, and the way itself."""

    key: str
    says: str
    way: Way


def now(held: OpenPiece) -> str:
    """How the piece is worked now, and how many pick-ups are left."""
    text = f"Working {held.way.words}."
    if held.whole.size - held.progress.done <= COUNTED:
        history = held.progress.history
        rows = pickups(held.whole, by_rows(held.whole, from_right=held.way.from_right), history)
        segments = fewest_left(held.whole, history)
        text += f" Pick-ups left: {rows} by rows, {segments} by segments."
    return text


def choices(held: OpenPiece, *, may_mirror: bool) -> list[WayChoice]:
    """Every other way of working, one change each. Tied knots stay tied, whatever the choice."""
    way = held.way
    found = [
        WayChoice("r", "work by rows", way._replace(by="rows"))
        if way.by == "segments"
        else WayChoice("s", "work by segments", way._replace(by="segments")),
        WayChoice(
            "h",
            "work from the left" if way.from_right else "work from the right (left-handed)",
            way._replace(from_right=not way.from_right),
        ),
    ]
    if may_mirror:
        says = "do not mirror the design" if way.mirrored else "mirror the design"
        found.append(WayChoice("m", says, way._replace(mirrored=not way.mirrored)))
    return found


def changed_to(before: Way, way: Way) -> str:
    """The way of working after a change, in a sentence; `before` is the one before it."""
    side = ", from the left" if before.from_right and not way.from_right else ""
    return f"Working {way.words}{side}."
