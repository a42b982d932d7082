"""A piece line by line."""

from benchmate.exit_status import BAD_INPUT, DONE
from benchmate.piece_exchange import LOST, rescued
from benchmate.piece_opening import OpenedPiece
from benchmate.plain.answers import Answers, Unreadable
from benchmate.plain.in_piece import at_the_end, laying_out, opening
from benchmate.plain.in_piece.session import Leave, Session
from benchmate.plain.in_piece.word_table import does_for, not_understood, opening_line
from benchmate.plain.lines import Lines
from benchmate.store.open_piece import OpenPiece

UNREADABLE = "Your answers on standard input cannot be read"


def run(opened: OpenedPiece, answers: Answers, lines: Lines) -> int:
    """Leads through a piece as `lead_on`, offers nothing at the end, and returns the exit status."""
    return lead_on(opened, answers, lines)[0]


def lead_on(opened: OpenedPiece, answers: Answers, lines: Lines, *, offers: bool = False) -> tuple[int, OpenPiece]:
    """Leads through a piece that is held, until its last step or until the person leaves, and lets go of it.

    With `offers`, a person at a terminal is offered at the end what may follow. It may lead on to other pieces, which
    it holds and lets go of. Returns the exit status and the piece held last. Raises StoreError when the piece can no
    longer be saved where it was; it is then written to a file of its own.
    """
    session = Session(opened, answers, lines)
    try:
        try:
            return _lead(session, offers=offers and answers.is_person), session.held
        finally:
            session.close()
            # Also when nobody reads on, or the person leaves with ctrl+c.
            session.held.check_saved()
            session.let_go()
    except LOST as error:
        raise rescued(session.held, error) from error


def _lead(session: Session, *, offers: bool) -> int:
    """Answers until the end."""
    try:
        if session.settings.voice == "on" or session.settings.sounds == "on":
            session.voice.switch(on=session.settings.voice == "on")
        opening.begin(session)
        if not session.held.whole.size:
            return DONE
        if session.answers.is_person:
            session.notice(opening_line(cutting=session.cutting))
        told: OpenPiece | None = None
        while True:
            done = at_the_end.is_here(session.held)
            if done and told is not session.held:
                session.say(at_the_end.all_done(session.held, onward=not offers))
                if not offers:
                    session.hear_out()
                    return DONE
                at_the_end.offer(session)
            told = session.held if done else None
            session.say_rest()
            answer = session.answers.next()
            if answer is None:
                return DONE
            _answer(session, answer, done=done)
            session.leave()
    except Unreadable as why:
        session.notice(f"{UNREADABLE} ({why}); leaving.")
        return BAD_INPUT
    except Leave as leave:
        return leave.status


def _answer(session: Session, answer: str, *, done: bool) -> None:
    """Does what one answer says; `done` is True when every step is done."""
    if (done and at_the_end.take(session, answer)) or laying_out.take(session, answer):
        return
    does = does_for(answer)
    if does is None:
        session.refuse(not_understood(answer))
    else:
        does(session)
