"""Laying out line by line: the lengths to cut, one after the other for a person, and then how the strings hang."""

from benchmate.craft.laying_out import LayingPlace, printed
from benchmate.exit_status import BAD_INPUT
from benchmate.files.safe_text import shown
from benchmate.piece_exchange import LOST
from benchmate.piece_questions.lengths_to_cut import (
    Parts,
    all_cut,
    cuts_now,
    cutting_words,
    how_many_cut,
    keep_cut,
    parts_of_laying_out,
    place_of,
)
from benchmate.plain.in_piece.session import TAKEN_OVER, Leave, Session
from benchmate.speech.sounds import Sound
from benchmate.store.errors import StoreError
from benchmate.store.pieces import TakenOver

TOO_LATE = "Laying out is possible only before the first knot."
NO_STRINGS = "This design has no strings to lay out."
HOW = "Empty line: this length is cut. b: back. l: skip. again: repeat."
NEXT, BACK, SKIP, AGAIN = ("",), ("b", "undo"), ("l", "lay out"), ("again",)
"""The answers that are taken while lengths are cut, as they are written in the table of words."""


def offer(session: Session) -> str:
    """What may be laid out now, for a notice."""
    if cuts_now(session.held):
        return f"l: {cutting_words(session.held)}, one {'length ' if session.held.lays_out_now else ''}a line."
    laying = session.held.whole.laying_out()
    return f"l: {laying.words}, one {laying.each} a line."


def lay_out(session: Session, _: str) -> None:
    """Leads through the lengths, and prints how the strings hang and then the step to do now again."""
    held = session.held
    if not held.whole.laying_out().steps:
        session.refuse(NO_STRINGS)
    elif not held.may_lay_out:
        session.refuse(TOO_LATE)
    else:
        begin(session)


def begin(session: Session) -> None:
    """Begins with the lengths, where a person was in them; who reads all lines as they come gets all at once."""
    held = session.held
    cuts = cuts_now(held)
    parts = parts_of_laying_out(held, session.settings.scrap) if cuts else Parts(None, held.whole.laying_out())
    if session.laying is None:
        for notice in filter(None, (how_many_cut(held), parts.notice)):
            session.notice(notice)
    session.laying = place_of(held, parts, session.laying)
    if session.laying.in_lengths and session.answers.is_person:
        session.notice(HOW)
        session.cutting = True
        _say_length(session)
        return
    for part in (parts.cutting, parts.hanging) if session.laying.in_lengths else (parts.hanging,):
        _print(session, [] if part is None else printed(part))
    session.say_step()


def take(session: Session, answer: str) -> bool:
    """Takes an answer while lengths are cut; False for one that means the same as anywhere."""
    place = session.laying
    if not session.cutting or place is None or answer not in (*NEXT, *BACK, *SKIP, *AGAIN):
        return False
    before = place.state
    if answer in SKIP:
        place.skip_lengths()
        _go_on(session)
    elif answer in BACK:
        if not place.back() or _kept(session, place, before):
            _say_length(session, Sound.UNDONE)
    elif answer in AGAIN:
        _say_length(session, in_full=True)
    else:
        place.done()
        if not _kept(session, place, before):
            return True
        if place.in_lengths:
            _say_length(session, Sound.DONE)
            return True
        if place.all_cut:
            words = all_cut(len(place.lengths))
            session.say(f"{words[0].upper()}{words[1:]}.")
        _go_on(session)
    return True


def _kept(session: Session, place: LayingPlace, before: tuple[int, frozenset[int]]) -> bool:
    """Saves which lengths are cut. False, with a notice and back where it was `before`, when that failed.

    Raises Leave as `Session.change` does.
    """
    try:
        keep_cut(session.held, place)
    except TakenOver:
        session.notice(f"{TAKEN_OVER} Nothing was counted; leaving.")
        raise Leave(BAD_INPUT) from None
    except LOST:
        session.notice("Not saved, not counted.")
        raise
    except StoreError as error:
        place.return_to(before)
        session.refuse(f"Not saved, not counted. {shown(str(error))}")
        return False
    return True


def _say_length(session: Session, sound: Sound | None = None, *, in_full: bool = False) -> None:
    place = session.laying
    assert place is not None
    first = sound is None and not in_full
    session.say_laid(
        f"{place.part.verb}: {place.step.line}", place.step, place.part.words if first else "", sound, in_full=in_full
    )


def _go_on(session: Session) -> None:
    """Prints what follows the lengths: how the strings hang, where that is now, and the step."""
    if session.held.lays_out_now:
        _print(session, printed(session.held.whole.laying_out()))
    session.say_step()
    session.tell_step()


def _print(session: Session, lines: list[str]) -> None:
    for text in lines:
        session.say(text)
