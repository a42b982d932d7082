"""Three ways on from a wrong knot, line by line; and questions that can be gone back from."""

import time
from collections.abc import Callable
from typing import TypeVar

from benchmate.craft.work import ReportProgress
from benchmate.piece_questions.trouble.ways_on import WayOn, WaysOn
from benchmate.piece_questions.trouble.what_went_wrong import WrongKnots
from benchmate.plain.asking_between_steps import BEFORE
from benchmate.plain.choices import WentBack
from benchmate.plain.in_piece.session import Session
from benchmate.plain.stopped_by_word import STOP_LOOKING, Stopped, looks_for_word

T = TypeVar("T")
WENT_BACK = -1
"""In place of a choice: the maker goes back to the question before."""
SOON = 1.0
"""Seconds after which a search says that it still goes on."""


def choose(session: Session, question: str, count: int, words: Callable[[int], str]) -> int | None:
    """Which of `count` choices, from 0; `WENT_BACK` for the question before; None where the maker leaves."""
    try:
        return session.ask_paged(question, count, words, back=BEFORE)
    except WentBack:
        return WENT_BACK


def search(session: Session, job: Callable[[ReportProgress], T]) -> T | None:
    """Searches; None where the word for that stopped it."""
    began, said = time.monotonic(), False
    looks = looks_for_word(session.answers)

    def report(done: int, of: int) -> None:
        nonlocal said
        if not said and time.monotonic() - began > SOON:
            said = True
            session.notice(f"Still looking. {STOP_LOOKING}: stop.")
        looks(done, of)

    try:
        return job(report)
    except Stopped:
        session.say("Search stopped.")
        return None


def ways(session: Session, wrong: WrongKnots) -> bool:
    """Says what the three ways on cost, and does what is chosen. False where the maker goes back instead."""
    on = WaysOn(session.held, wrong)
    on.take_in(search(session, on.look_for_mending))
    words = on.wrong_words()
    session.say(f"{words[0].upper()}{words[1:]}.")
    possible = [way for way in WayOn if on.can_choose(way)]
    if on.unknown:
        session.say("It can only be taken out: the other ways rest on how it was made.")
    elif WayOn.MEND not in possible:
        session.say(" ".join(on.cost(WayOn.MEND).says))
    says = [" ".join([*on.cost(way).says, *_changes(on, way)]) for way in possible]
    chosen = choose(session, "How do you go on?", len(says), says.__getitem__)
    if chosen == WENT_BACK:
        return False
    if chosen is not None:
        way = possible[chosen]
        session.change(lambda: on.choose(way), then=lambda: on.chosen_words(way))
    return True


def _changes(on: WaysOn, way: WayOn) -> list[str]:
    """The knots that a way changes, in a sentence."""
    return [f"To change: {'; '.join(on.changes_words())}."] if way is WayOn.MEND else []
