"""The question about the way of working: by rows or by segments, from which side, mirrored or not."""

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.question import CONTINUE, Answer, Question
from benchmate.craft.orders import by_rows, fewest_left, pickups
from benchmate.craft.ways import Way
from benchmate.store.open_piece import OpenPiece

COUNTED = 20_000
"""The most steps left for which the pick-ups are counted, so that nobody waits for the question."""


def way_question(bench: Bench, held: OpenPiece, *, may_mirror: bool) -> Question[Way]:
    """Asks for the way of working. Tied knots stay tied, whatever the answer."""
    way = held.way
    text = f"Working {way.words}."
    if held.whole.size - held.progress.done <= COUNTED:
        history = held.progress.history
        rows = pickups(held.whole, by_rows(held.whole, from_right=way.from_right), history)
        segments = fewest_left(held.whole, history)
        text += f" Pick-ups left: {rows} by rows, {segments} by segments."
    answers = [
        Answer("r", "work by rows", way._replace(by="rows"))
        if way.by == "segments"
        else Answer("s", "work by segments", way._replace(by="segments")),
        Answer(
            "h",
            "work from the left" if way.from_right else "work from the right (left-handed)",
            way._replace(from_right=not way.from_right),
        ),
    ]
    if may_mirror:
        mirrored = way._replace(mirrored=not way.mirrored)
        says = "do not mirror the design" if way.mirrored else "mirror the design"
        answers.append(Answer("m", says, mirrored))
    else:
        text += " Mirroring is possible only before the first step."
    return Question(bench, "WAY", [text], [*answers, Answer(CONTINUE, "continue as it is", way)], escape=CONTINUE)
