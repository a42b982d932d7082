"""What to do with one tied knot, line by line: one that is pointed at, or one that is known to be wrong."""

from collections.abc import Callable

from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made
from benchmate.craft.wording.trouble_words import made_words
from benchmate.piece_questions import knot_choices
from benchmate.piece_questions.trouble import known_mistakes
from benchmate.piece_questions.trouble.what_went_wrong import HOW_MADE, Answer, WhatWentWrong, WrongKnots
from benchmate.plain.asking_between_steps import BACK, BEFORE, LEAVING
from benchmate.plain.choices import WentBack
from benchmate.plain.in_piece.session import Session
from benchmate.plain.in_piece.trouble.explaining import find_out, labelled, offered
from benchmate.plain.in_piece.trouble.ways_on_by_line import WENT_BACK, choose, ways

TAKE_OUT = "take it out and tie it again"


def known(session: Session) -> None:
    """Says what is planned, lists the knots that were left wrong, and asks what to do with one."""
    held = session.held
    mistakes, planned = known_mistakes.known(held), known_mistakes.planned_words(held)
    if planned:
        session.say(planned)
    if not mistakes:
        session.refuse("No wrong knot is known.")
        return
    chosen = session.ask_paged("Which one?", len(mistakes), lambda at: knot_in_full(session, mistakes[at]))
    if chosen is not None:
        knot(session, mistakes[chosen])


def drop(session: Session) -> None:
    """Drops the planned change, once the maker has heard which one and agreed."""
    held = session.held
    if not held.changes:
        session.refuse("No change is planned.")
        return
    words = known_mistakes.dropped_words(held)
    if session.ask(known_mistakes.planned_words(held), ["drop it, make the rest as in the chart"]) is not None:
        session.change(held.drop_changes, then=lambda: words)


def knot_in_full(session: Session, number: int) -> str:
    """Where a tied knot is, what it is, and what is known of it."""
    words = knot_choices.tied_knot_in_full(session.held, number)
    left = known_mistakes.left_wrong(session.held, number)
    return f"{words}. {left}" if left else words


def knot(session: Session, number: int) -> None:
    """Asks what to do with a tied knot: take it out, or say what it shows or how it was made."""
    held = session.held
    does: dict[str, Callable[[], bool]] = {TAKE_OUT: lambda: session.change(lambda: held.mark_wrong(number))}
    went = WhatWentWrong(held)
    if went.possible and went.is_band(number):
        does["it shows another colour"] = lambda: _shows(session, went, number)
        does["I know how I made it"] = lambda: _was_made(session, number)
    elif went.colour_is_enough(number):
        does["it shows another colour"] = lambda: _in_colour(session, went, number)
    if number in held.mistakes:
        does["it is as charted after all"] = lambda: _as_charted(session, number)
    question = f"{knot_in_full(session, number).rstrip('.')}. {knot_choices.how_many_out(held, number)}"
    while (chosen := session.ask(question, list(does))) is not None:
        if list(does.values())[chosen]() or session.held is not held:
            return


def _as_charted(session: Session, number: int) -> bool:
    words = known_mistakes.taken_back_words(session.held, number)
    return session.change(lambda: known_mistakes.take_back(session.held, number), then=lambda: words)


def _shows(session: Session, went: WhatWentWrong, number: int) -> bool:
    """Asks which colour a knot shows, then how the strings hang. False where the maker goes back."""
    while True:
        try:
            said = _hear_colour(session, went, number)
        except WentBack:
            return False
        if said is None:
            return True
        went.forget()
        went.point(number, said.colour)
        try:
            find_out(session, went)
        except WentBack:
            continue
        return True


def _in_colour(session: Session, went: WhatWentWrong, number: int) -> bool:
    """Asks which colour a knot shows, and marks it with what it holds in that one. False where the maker goes back."""
    try:
        said = _hear_colour(session, went, number)
    except WentBack:
        return False
    if said is None or said.colour is None:
        return True
    wrong = went.wrong_together(number, said.colour)
    return session.change(lambda: session.held.mark_wrong(*wrong))


def _hear_colour(session: Session, went: WhatWentWrong, number: int) -> Answer | None:
    """Asks which colour a knot shows; None where the maker leaves. Raises WentBack."""
    question = went.question_about(number)
    offers = offered(question.answers)
    session.say(f"Which colour does it show? {offers}. {BACK}: {BEFORE}; {LEAVING}.")
    while (said := labelled(question.answers, answer := session.hear_answer() or "")) is None:
        if answer == BACK:
            raise WentBack
        if not answer:
            break
        session.notice(f"That is no answer here. Type {offers}, {BACK}, or an empty line to leave it.")
    return said


def _was_made(session: Session, number: int) -> bool:
    """Asks how a knot was made, then how to go on. False where the maker goes back."""
    made = session.held.whole.how_made(number)
    others: list[Made] = [way for way in EVERY_KIND if way is not made]
    while True:
        chosen = choose(session, HOW_MADE, len(others), lambda at: made_words(others[at]))
        if chosen is None or chosen == WENT_BACK:
            return chosen is None
        if ways(session, WrongKnots({number: others[chosen]})):
            return True
