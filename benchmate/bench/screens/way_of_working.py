"""The question how to work on: by rows or by segments, from which side, and before the first knot whether mirrored."""

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.question import Answer, Question
from benchmate.craft.orders import by_rows, fewest_left, pickups
from benchmate.craft.ways import Way
from benchmate.store.held import Held

COUNTED = 20_000
"""Up to so many open steps the pick-ups to come are counted while one waits."""


def way_question(bench: Bench, held: Held, *, may_mirror: bool) -> Question[Way]:
    """Asks for the way of working, and hands it back; what is tied stays tied whatever the answer."""
    way = held.way
    told = f"Now {way.words}."
    if held.whole.size - held.progress.done <= COUNTED:
        history = held.progress.history
        rows = pickups(held.whole, by_rows(held.whole, from_right=way.from_right), history)
        segments = fewest_left(held.whole, history)
        told += f" Pick-ups to come, from here on: by rows {rows}, by segments {segments}."
    answers = [
        Answer("r", "by rows, from here on", way._replace(by="rows"))
        if way.by == "segments"
        else Answer("s", "by segments, from here on", way._replace(by="segments")),
        Answer(
            "h",
            "begin from the left" if way.from_right else "begin from the right, as left-handed makers may",
            way._replace(from_right=not way.from_right),
        ),
    ]
    if may_mirror:
        mirrored = way._replace(mirrored=not way.mirrored)
        says = "the design as it is drawn" if way.mirrored else "the whole design as its mirror image"
        answers.append(Answer("m", says, mirrored))
    else:
        told += " A piece can be mirrored before its first step only."
    return Question(bench, "WAY", [told], [*answers, Answer("k", "keep to it", way)], escape="k")
