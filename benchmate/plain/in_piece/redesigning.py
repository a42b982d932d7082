"""The word about changes to the design's file."""

from benchmate.files.safe_text import shown
from benchmate.piece_opening import WorkingOptions, resume_listed
from benchmate.piece_questions import design_choices
from benchmate.plain.in_piece.opening import begin_instead
from benchmate.plain.in_piece.session import Session
from benchmate.store.errors import StoreError


def design(session: Session, _: str) -> None:
    """Reads the design file again, and asks what to do if it has changed."""
    held, kept = session.held, session.opened.kept
    if session.blocked():
        return
    if held.piece is None:
        session.refuse("Nothing is tied yet: the piece follows the file as it was just read.")
        return
    try:
        opening = resume_listed(kept, kept.pieces.get(held.piece))
    except StoreError as error:
        session.refuse(shown(str(error)))
        return
    if not opening.changed:
        session.say(design_choices.notice(opening, "design") or design_choices.unchanged(opening))
        return
    choices = design_choices.choices(opening, held)
    chosen = session.ask(design_choices.question(opening), [says for _, says in choices])
    choice = design_choices.KEEP if chosen is None else choices[chosen][0]
    if choice == design_choices.CHANGED:
        assert opening.updated is not None
        if session.change_design(opening.updated, lambda: "Continuing with the changed design."):
            session.opened = session.opened._replace(changed=(), updated=None, file=opening.file)
    elif choice == design_choices.NEW:
        assert opening.file is not None
        way = held.way
        # The new piece has the repeats of the changed file.
        options = WorkingOptions(way.by, None, way.from_right, way.mirrored)
        begin_instead(session, opening.file, options, None)
