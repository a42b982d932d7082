"""A piece line by line on standard input and output, for screen readers, braille lines and pipes."""

from typing import TextIO

from benchmate.craft.laying_out import printed
from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.design_files.shelf import following, name_of
from benchmate.exit_status import BAD_INPUT, DONE
from benchmate.files.safe_text import shown
from benchmate.piece_exchange import LOST, rescued
from benchmate.piece_opening import OpenedPiece
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver

TAKEN_OVER = "Another window has taken over this piece."
PLAN_NOT_SAVED = "The order with the fewest pick-ups could not be saved; continuing as before."
NOT_UNDERSTOOD = "Not understood. Empty line: done; b: undo the last step; l: lay out the strings; q: leave."
TOO_LATE = "Laying out is possible only before the first knot."
NO_STRINGS = "This design has no strings to lay out."

UNREADABLE = "Your answers on standard input cannot be read"


def run(opened: OpenedPiece, answers: TextIO, out: TextIO, notices: TextIO) -> int:
    """Leads through a piece that is held, until its last step or until the person leaves; returns the exit status.

    Raises StoreError when the piece can no longer be saved where it was; it is then written to a file of its own.
    """
    try:
        try:
            return _lead(opened, answers, out, notices)
        finally:
            # Also when nobody reads on, or the person leaves with ctrl+c.
            opened.held.check_saved()
    except LOST as error:
        raise rescued(opened.held, error) from error


def _lead(opened: OpenedPiece, answers: TextIO, out: TextIO, notices: TextIO) -> int:
    held = opened.held
    for notice in notices_of(opened):
        _write(notices, notice)
    if not _make_plan(held, notices):
        return BAD_INPUT
    first = current(held)
    _write(out, first or "There is nothing to tie in this design.")
    if first is None:
        return DONE
    if answers.isatty() and held.may_lay_out:
        # Only for a person at a terminal: what a program reads on standard error stays as it was.
        laying = held.whole.laying_out()
        _write(notices, f"l: {laying.words}, one {laying.each} a line.")
    while True:
        try:
            answer = answers.readline()
        except (OSError, UnicodeError) as error:
            why = shown(getattr(error, "strerror", None) or str(error))
            _write(notices, f"{UNREADABLE} ({why}); leaving.")
            return BAD_INPUT
        word = answer.rstrip("\r\n")
        if word == "q" or answer == "":
            break
        if word == "l":
            _lay_out(held, out, notices)
            continue
        if word not in ("", "b"):
            _write(notices, NOT_UNDERSTOOD)
            continue
        try:
            if word:
                held.back()
            else:
                held.finish_step()
        except TakenOver:
            _write(notices, f"{TAKEN_OVER} Nothing was counted; leaving.")
            return BAD_INPUT
        except LOST:
            _write(notices, "Not saved, not counted.")
            raise
        except StoreError as error:
            _write(notices, f"Not saved, not counted. {shown(str(error))}")
            continue
        if not _make_plan(held, notices):
            return BAD_INPUT
        line = current(held)
        _write(out, line or f"All done ({counted(held.whole.size, 'step')}).{_onward(held)}")
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


def _lay_out(held: OpenPiece, out: TextIO, notices: TextIO) -> None:
    """Prints how the strings hang before the first knot, and then the step to do now again. Changes nothing."""
    laying = held.whole.laying_out()
    if not laying.steps:
        _write(notices, NO_STRINGS)
        return
    if not held.may_lay_out:
        _write(notices, TOO_LATE)
        return
    for text in printed(laying):
        _write(out, text)
    _write(out, current(held) or "")


def _make_plan(held: OpenPiece, notices: TextIO) -> bool:
    """Plans a piece worked by segments if it has no plan; False when another window has taken over the piece."""
    if not held.needs_plan:
        return True
    if not held.can_plan_at_once:
        _write(notices, "Looking for the order with the fewest pick-ups.")
    try:
        held.use_plan(held.plan())
    except TakenOver:
        _write(notices, f"{TAKEN_OVER} Leaving.")
        return False
    except LOST:
        raise
    except StoreError as error:
        _write(notices, f"{PLAN_NOT_SAVED} {shown(str(error))}")
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


def _write(stream: TextIO, text: str) -> None:
    stream.write(text + "\n")
    stream.flush()
