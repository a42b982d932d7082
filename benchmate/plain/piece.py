"""A piece line by line."""

from benchmate.craft.laying_out import printed
from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.design_files.shelf import following, name_of
from benchmate.exit_status import BAD_INPUT, DONE
from benchmate.files.safe_text import shown
from benchmate.piece_exchange import LOST, rescued
from benchmate.piece_opening import OpenedPiece
from benchmate.plain.answers import Answers, Unreadable
from benchmate.plain.lines import Lines
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver

TAKEN_OVER = "Another window has taken over this piece."
PLAN_NOT_SAVED = "The order with the fewest pick-ups could not be saved; continuing as before."
NOT_UNDERSTOOD = "Not understood. Empty line: done; b: undo the last step; l: lay out the strings; q: leave."
TOO_LATE = "Laying out is possible only before the first knot."
NO_STRINGS = "This design has no strings to lay out."

UNREADABLE = "Your answers on standard input cannot be read"


def run(opened: OpenedPiece, answers: Answers, lines: Lines) -> int:
    """Leads through a piece that is held, until its last step or until the person leaves; returns the exit status.

    Raises StoreError when the piece can no longer be saved where it was; it is then written to a file of its own.
    """
    try:
        try:
            return _lead(opened, answers, lines)
        finally:
            # Also when nobody reads on, or the person leaves with ctrl+c.
            opened.held.check_saved()
    except LOST as error:
        raise rescued(opened.held, error) from error


def _lead(opened: OpenedPiece, answers: Answers, lines: Lines) -> int:
    held = opened.held
    for notice in notices_of(opened):
        lines.notice(notice)
    if not _make_plan(held, lines):
        return BAD_INPUT
    first = current(held)
    lines.say(first or "There is nothing to tie in this design.")
    if first is None:
        return DONE
    if answers.is_person and held.may_lay_out:
        # Only for a person at a terminal: what a program reads on standard error stays as it was.
        laying = held.whole.laying_out()
        lines.notice(f"l: {laying.words}, one {laying.each} a line.")
    while True:
        try:
            word = answers.next()
        except Unreadable as why:
            lines.notice(f"{UNREADABLE} ({why}); leaving.")
            return BAD_INPUT
        if word in ("q", None):
            break
        if word == "l":
            _lay_out(held, lines)
            continue
        if word not in ("", "b"):
            lines.notice(NOT_UNDERSTOOD)
            continue
        try:
            if word:
                held.back()
            else:
                held.finish_step()
        except TakenOver:
            lines.notice(f"{TAKEN_OVER} Nothing was counted; leaving.")
            return BAD_INPUT
        except LOST:
            lines.notice("Not saved, not counted.")
            raise
        except StoreError as error:
            lines.notice(f"Not saved, not counted. {shown(str(error))}")
            continue
        if not _make_plan(held, lines):
            return BAD_INPUT
        line = current(held)
        lines.say(line or f"All done ({counted(held.whole.size, 'step')}).{_onward(held)}")
        if line is None:
            break
    return DONE


def _onward(held: OpenPiece) -> str:
    """What follows the lesson, and the command for it; empty where the piece is no lesson."""
    follows = following(held.file)
    if follows is None:
        return ""
    begins = " It begins with row 1." if follows.rows else ""
    return f" Next: benchmate follow {name_of(follows.path)}.{begins}"


def _lay_out(held: OpenPiece, lines: Lines) -> None:
    """Prints how the strings hang before the first knot, and then the step to do now again. Changes nothing."""
    laying = held.whole.laying_out()
    if not laying.steps:
        lines.notice(NO_STRINGS)
        return
    if not held.may_lay_out:
        lines.notice(TOO_LATE)
        return
    for text in printed(laying):
        lines.say(text)
    lines.say(current(held) or "")


def _make_plan(held: OpenPiece, lines: Lines) -> bool:
    """Plans a piece worked by segments if it has no plan; False when another window has taken over the piece."""
    if not held.needs_plan:
        return True
    if not held.can_plan_at_once:
        lines.notice("Looking for the order with the fewest pick-ups.")
    try:
        held.use_plan(held.plan())
    except TakenOver:
        lines.notice(f"{TAKEN_OVER} Leaving.")
        return False
    except LOST:
        raise
    except StoreError as error:
        lines.notice(f"{PLAN_NOT_SAVED} {shown(str(error))}")
    return True


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
    whole, following = opened.held.whole, opened.held.progress.next
    if following is not None and following <= whole.main.first and (text := step_words.before_first(whole)):
        notices.append(text)
    return notices


def current(held: OpenPiece) -> str | None:
    """The line of the step to do or undo now; None when every step is done."""
    number, comes_out = held.current_step()
    if number is None:
        return None
    line = step_words.line(held.whole, held.order.place[number] + 1, number, comes_out=comes_out)
    run = None if comes_out or held.way.by != "segments" else held.progress.current_run
    if run is None:
        return line
    following = step_words.next_pick_up(held.whole, run, held.progress.hanging) if run.at == run.of else ""
    return f"{line}; {step_words.in_hand(held.whole, run)}" + (f", then {following}" if following else "")
