"""What is said and offered once every step is done."""

from benchmate.craft.wording.counting import counted
from benchmate.design_files.shelf import Following, following, name_of, next_lesson
from benchmate.files.safe_text import shown
from benchmate.files.tree import BadFile
from benchmate.piece_opening import NO_OPTIONS, follow
from benchmate.piece_questions import after_the_end
from benchmate.piece_questions.trouble.known_mistakes import left_at_the_end
from benchmate.plain.choices import whole_number
from benchmate.plain.in_piece.measuring import length
from benchmate.plain.in_piece.opening import open_piece
from benchmate.plain.in_piece.session import Session
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece


def is_here(held: OpenPiece) -> bool:
    """True while every step is done, and there was one."""
    return held.progress.finished and held.wrong is None and held.whole.size > 0


def all_done(held: OpenPiece, *, onward: bool) -> str:
    """The line after the last step; with what follows a lesson, where that is not offered."""
    return f"All done ({counted(held.whole.size, 'step')}).{_onward(held) if onward else ''}"


def _onward(held: OpenPiece) -> str:
    """What follows the lesson, and the command for it; empty where the piece is no lesson."""
    follows = following(held.file)
    if follows is None:
        return ""
    begins = " It begins with row 1." if follows.rows else ""
    return f" Next: benchmate follow {name_of(follows.path)}.{begins}"


def offer(session: Session) -> None:
    """Prints what the piece took and what is possible now, each with its number."""
    held = session.held
    session.say(after_the_end.what_it_took(held))
    if tip := held.whole.main.design.family.step_view.when_done:
        session.say(tip)
    if left := left_at_the_end(held, "wrong known"):
        session.say(left)
    session.say("What next? Type a number; undo takes back the last step; q leaves.")
    offers = _offers(session)
    if trouble := session.thread_at_the_end.trouble:
        session.notice(trouble)
    for number, (_, says) in enumerate(offers, 1):
        session.say(f"{number}: {says}")


def take(session: Session, answer: str) -> bool:
    """Does what a number stands for here; False for any other answer."""
    number, offers = whole_number(answer), _offers(session)
    if answer == "":
        # As on the screen: the same press leads from a lesson to what follows it.
        if offers[0][0] != after_the_end.ONWARD:
            session.refuse(f"All done. Type a number from 1 to {len(offers)}, or q to leave.")
            return True
        number = 1
    if number is None:
        return False
    if not 1 <= number <= len(offers):
        session.refuse(f"Type a number from 1 to {len(offers)}, or q to leave.")
        return True
    # Imported here: only at the end of a piece, not at every start.
    from benchmate.piece_questions.thread import thread_at_the_end
    from benchmate.plain.in_piece import telling_left_over

    does = {
        after_the_end.ONWARD: _go_on,
        after_the_end.NEXT_LESSON: _next_lesson,
        after_the_end.LENGTH: lambda session: length(session, ""),
        after_the_end.FINISH: _add_finish,
        after_the_end.PICTURE: _save_picture,
        thread_at_the_end.LEFT_OVER: telling_left_over.tell,
        thread_at_the_end.TAKE_BACK: telling_left_over.take_back,
        thread_at_the_end.BOX: telling_left_over.book,
        thread_at_the_end.BOX_BACK: telling_left_over.undo_booking,
    }
    does[offers[number - 1][0]](session)
    return True


def _offers(session: Session) -> list[tuple[str, str]]:
    words = {after_the_end.PICTURE: "save a picture of the band"}
    thread = session.thread_at_the_end.offers()
    found = after_the_end.offers(session.held, drawable=session.layout is not None, thread=thread)
    return [(kind, words.get(kind, says)) for kind, says in found]


def _go_on(session: Session) -> None:
    follows = following(session.held.file)
    if follows is not None:
        _open(session, follows)


def _next_lesson(session: Session) -> None:
    lesson = next_lesson(session.held.file)
    if lesson is not None:
        _open(session, Following(lesson, 0))


def _open(session: Session, follows: Following) -> None:
    try:
        opened = follow(session.opened.kept, follows.path, NO_OPTIONS, new=False)
    except (BadFile, StoreError) as error:
        session.refuse(shown(str(error)))
        return
    open_piece(session, opened, follows.rows)


def _add_finish(session: Session) -> None:
    finishes = after_the_end.possible_finishes(session.held)
    if not finishes:
        session.refuse(after_the_end.NO_FINISH)
        return
    words = [f"{after_the_end.finish_words(each)}; it begins: {after_the_end.how_it_begins(each)}" for each in finishes]
    chosen = session.ask("Which finish? Its steps follow the band.", words)
    if chosen is not None:
        session.change_design(finishes[chosen], str)


def _save_picture(session: Session) -> None:
    from benchmate.piece_questions.band_pictures import saved

    layout, piece = session.layout, session.held.piece
    if layout is not None and piece is not None:
        session.say(saved(layout, piece))
