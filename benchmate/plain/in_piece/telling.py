"""Words that tell something and change nothing: the strings, the place in the piece, the words, the help pages."""

from benchmate.craft.history import timing
from benchmate.craft.pace import Pace
from benchmate.craft.wording import step_words
from benchmate.craft.wording.hanging_words import hanging_in_words
from benchmate.files.safe_text import shown
from benchmate.piece_questions.trouble.known_mistakes import planned_words
from benchmate.plain.abbreviations import abbreviations
from benchmate.plain.help_lines import help_lines, no_page
from benchmate.plain.in_piece.session import Session
from benchmate.store.errors import StoreError


def strings(session: Session, _: str) -> None:
    """Prints how the strings hang now, a line for each group of one colour."""
    found = hanging_in_words(session.held.as_known, session.held.progress)
    if not found:
        session.refuse("This design has no strings.")
    for text in found:
        session.say(text)


def where(session: Session, _: str) -> None:
    """Prints the row, how far the piece is, and the time left."""
    held = session.held
    whole, done = held.whole, held.progress.done
    session.say(held.title)
    number, comes_out = held.current_step()
    if number is not None:
        called, counts, at, of = step_words.place(whole, number)
        session.say(f"{f'{called}, ' if called else ''}{counts} {at} of {of}")
        if whole.part_of(number).design.family.row_word:
            session.say(step_words.numbered(whole, number, held.order.place[number] + 1))
    share = 100 * done // whole.size if whole.size else 100
    session.say(f"done: {done} of {whole.size} steps, {share} percent")
    if comes_out:
        session.say(f"to undo: {len(held.must_come_out())}")
    if planned := planned_words(held):
        session.say(planned)
    session.say(f"working {held.way.words}")
    if left := timing.time_left(whole, done, timing.own_pace(whole, held.presses) or _makers_pace(session)):
        session.say(left)


def _makers_pace(session: Session) -> Pace | None:
    """The pace in the maker's other pieces, before this one has enough knots; None while it is not known."""
    from benchmate.makers_pace import pace_with

    pieces = session.opened.kept.pieces
    try:
        return pace_with(pieces, pieces.all(), session.held.whole.main.design.family.name)
    except StoreError as error:
        session.notice(shown(str(error)))
        return None


def light(session: Session, _: str) -> None:
    """Says that there is nothing to make light."""
    session.refuse("Plain lines have no colours: nothing to change.")


def take(session: Session, _: str) -> None:
    """Says that the piece is open here; in plain mode no other is worked on."""
    session.say("This piece is open here.")


def help_page(session: Session, topic: str) -> None:
    """Prints a help page, one thing a line."""
    page = help_lines(topic, session.settings.keys)
    if page is None:
        session.refuse(no_page(topic))
    else:
        session.read_on(page)


def more(session: Session, _: str) -> None:
    """Goes on with a text that is longer than a page."""
    if not session.pages.more:
        session.refuse("There is no more to read.")
    else:
        session.pages.next()


def key(session: Session, _: str) -> None:
    """Prints what the abbreviations of narrow lines stand for."""
    session.read_on(abbreviations())
