"""Which knot is wrong, line by line: its number, its row, or how the strings hang."""

from collections.abc import Sequence

from benchmate.piece_questions import jump_targets
from benchmate.piece_questions.trouble import known_mistakes
from benchmate.piece_questions.trouble.lost_place import can_find
from benchmate.piece_questions.trouble.what_went_wrong import WhatWentWrong
from benchmate.plain.in_piece.arguments import kind_and_number
from benchmate.plain.in_piece.session import Session
from benchmate.plain.in_piece.trouble import explaining, one_knot
from benchmate.store.open_piece import OpenPiece

OTHERS = {
    "strings": ("wrong strings", "say how the strings hang"),
    "known": ("wrong known", "knots left wrong"),
    "drop": ("wrong drop", "drop a planned change"),
    "lost": ("lost", "find your place"),
    "short": ("short", "a string runs short"),
}
"""What may be typed instead of the number of a knot: the line that it stands for, and what that does."""


def wrong(session: Session, given: str) -> None:
    """Asks which knot is wrong, says how many must come out to reach it, and does what the person chooses."""
    if session.blocked():
        return
    kind, _, rest = given.partition(" ")
    if kind == "strings":
        explaining.strings(session, rest)
    elif given == "known":
        one_knot.known(session)
    elif given == "drop":
        one_knot.drop(session)
    elif not session.held.progress.done:
        session.refuse("Nothing is tied yet.")
    else:
        number = _which(session, given)
        if number is not None:
            one_knot.knot(session, number)


def _others(held: OpenPiece) -> dict[str, tuple[str, str]]:
    """What may be typed instead in this piece; what it would refuse is not offered."""
    offered = {
        "strings": WhatWentWrong(held).possible,
        "known": bool(known_mistakes.known(held)),
        "drop": bool(held.changes),
        "lost": can_find(held),
    }
    return {word: does for word, does in OTHERS.items() if offered.get(word, True)}


def _which(session: Session, given: str) -> int | None:
    """The number of the step that is meant; None, after a notice, when it is none."""
    held = session.held
    tied: Sequence[int] = held.progress.history[::-1]
    if given:
        kinds = jump_targets.kinds(held.whole)
        knot = held.whole.main.design.family.step_word
        found = kind_and_number(given, kinds, usual=knot)
        if found is None:
            session.refuse(f"Say which one: wrong 37, {', '.join(f'wrong {kind} 12' for kind in kinds)}.")
            return None
        kind, number = found
        if not 1 <= number <= jump_targets.count_of(held.whole, kind):
            session.refuse(jump_targets.how_many(held.whole, kind))
            return None
        if kind != "row":
            place = number - 1 + (0 if kind == "step" else held.whole.main.first)
            step = held.order.sequence[place]
            if held.progress.is_tied(step):
                return step
            session.refuse(f"{kind} {number} is not tied.")
            return None
        first, end = held.whole.main.work.span(number)
        row = range(held.whole.main.first + first, held.whole.main.first + end)
        tied = [step for step in tied if step in row]
        if not tied:
            session.refuse(f"Nothing is tied in row {number}.")
            return None
    question = "Which one is wrong? The last one first."
    chosen = session.ask_paged(question, len(tied), lambda at: one_knot.knot_in_full(session, tied[at]), _others(held))
    return None if chosen is None else tied[chosen]
