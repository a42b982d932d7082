"""A piece is opened line by line: what to know first, and the step to do now."""

from benchmate import piece_opening
from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompt_parts import sentences
from benchmate.craft.wording.prompts import Happened
from benchmate.design_files.load import DesignFile
from benchmate.files.safe_text import shown
from benchmate.piece_opening import OpenedPiece, WorkingOptions
from benchmate.piece_questions.lengths_to_cut import in_the_middle
from benchmate.piece_questions.trouble.known_mistakes import planned_words
from benchmate.plain.in_piece import laying_out
from benchmate.plain.in_piece.session import Session
from benchmate.store.errors import StoreError

NOTHING = "There is nothing to tie in this design."


def notices_of(opened: OpenedPiece) -> list[str]:
    """What a person should know before continuing this piece, a sentence or two each."""
    notices: list[str] = []
    if opened.broken:
        notices.append(f"The design file cannot be used now; the piece continues with its own copy. {opened.broken}")
    if opened.changed:
        what = "; ".join(opened.changed)
        notices.append(f"The design file has changed ({what}); the piece continues with its own copy.")
    if opened.held.wrong is not None:
        knots = counted(len(opened.held.must_come_out()), "knot")
        notices.append(f"A knot is marked wrong. Undo {knots} to reach it, last first; an empty line after each.")
    if planned := planned_words(opened.held):
        notices.append(planned)
    whole, following = opened.held.whole, opened.held.progress.next
    if following is not None and following <= whole.main.first and (text := step_words.before_first(whole)):
        notices.append(text)
    return notices


def begin(session: Session) -> None:
    """Prints what to know about the piece, and the step to do now."""
    held = session.held
    for notice in notices_of(session.opened):
        session.notice(notice)
    session.make_plan()
    if not held.whole.size:
        session.say(NOTHING)
        return
    # Only for a person at a terminal: what a program reads stays as it was.
    offers = session.answers.is_person and held.may_lay_out
    if offers and (session.opened.lays_out or in_the_middle(held)):
        laying_out.begin(session)
        if not session.cutting:
            session.tell_step()
        return
    quiet = session.quiet.opened(session)
    session.say_step()
    if offers:
        session.notice(laying_out.offer(session))
    words = [text.rstrip(".") for text in (planned_words(held), quiet.first) if text]
    session.say_aloud(Happened.RESUMED, beside=quiet._replace(first=sentences(*words) if words else ""))


def begin_instead(session: Session, file: DesignFile, options: WorkingOptions, newest: int | None) -> None:
    """Leaves the piece for a new one on a design, as `piece_opening.begin` begins it."""
    try:
        opened = piece_opening.begin(session.opened.kept, file, options, newest)
    except StoreError as error:
        session.refuse(shown(str(error)))
        return
    open_piece(session, opened)


def open_piece(session: Session, opened: OpenedPiece, rows: int = 0) -> None:
    """Leaves the piece for another one. The first `rows` rows of a new one count as tied: a lesson made them."""
    is_new = not opened.resumed
    if not session.open(opened):
        return
    held = session.held
    session.say(f"Now: {held.title}{', mirrored' if held.way.mirrored else ''}.")
    if rows and is_new:
        band = held.whole.main
        made = f"The first {rows} rows are those you made in the lesson. Undid them? Type jump 1."
        tied = range(band.first + band.work.span(rows).end)
        session.change(lambda: held.jump_to(tied), Happened.JUMPED, then=lambda: made)
    else:
        begin(session)
