"""The question about the way of working: by rows or by segments, from which side, mirrored or not."""

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.question import CONTINUE, Answer, Question
from benchmate.craft.ways import Way
from benchmate.piece_questions import way_choices
from benchmate.store.open_piece import OpenPiece


def way_question(bench: Bench, held: OpenPiece, *, may_mirror: bool) -> Question[Way]:
    """Asks for the way of working. Tied knots stay tied, whatever the answer."""
    text = way_choices.now(held)
    if not may_mirror:
        text += f" {way_choices.MIRROR_BEFORE}"
    answers = [Answer(key, says, way) for key, says, way in way_choices.choices(held, may_mirror=may_mirror)]
    return Question(bench, "WAY", [text], [*answers, Answer(CONTINUE, "continue as it is", held.way)], escape=CONTINUE)
