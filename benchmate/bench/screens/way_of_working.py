"""The question how to work on: by rows or by segments, from which side, and before the first knot whether mirrored."""

from benchmate.bench.screens.question import Question
from benchmate.craft.orders import by_rows, fewest_to_come, pickups
from benchmate.store.held import Held

COUNTED = 20_000
"""Up to so many open steps the pick-ups to come are counted while one waits."""


def way_question(held: Held, *, may_mirror: bool) -> Question:
    """Asks for the way of working; what is tied stays tied whatever the answer."""
    way = held.way
    told = f"Now {way.words}."
    if held.whole.size - held.progress.done <= COUNTED:
        history = held.progress.history
        rows = pickups(held.whole, by_rows(held.whole, from_right=way.from_right), history)
        segments = fewest_to_come(held.whole, history)
        told += f" Pick-ups to come, from here on: by rows {rows}, by segments {segments}."
    answers = [
        ("r", "by rows, from here on") if way.by == "segments" else ("s", "by segments, from here on"),
        ("h", "begin from the left" if way.from_right else "begin from the right, as left-handed makers may"),
    ]
    if may_mirror:
        answers.append(("m", "the design as it is drawn" if way.mirrored else "the whole design as its mirror image"))
    else:
        told += " A piece can be mirrored before its first step only."
    return Question("WAY", [told], [*answers, ("k", "keep to it")], escape="k")
