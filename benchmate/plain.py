"""The same piece line by line on standard input and output: for screen readers, braille lines and pipes."""

from typing import TextIO

from benchmate.craft.wording import step_words
from benchmate.piece_opening import OpenedPiece
from benchmate.store.database import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver

GONE_ON = "Another window has gone on with this piece."
NOT_KEPT = "The order with the fewest pick-ups could not be kept; going on as before."
ANSWERS = "an empty line: done; b: back up one; q: leave"


def run(opening: OpenedPiece, answers: TextIO, out: TextIO, notices: TextIO) -> int:
    """Leads through a piece that is held, to its last step or until the person leaves; returns the exit status."""
    held = opening.held
    for notice in notices_of(opening):
        _say(notices, notice)
    if not _planned(held, notices):
        return 1
    first = current(held)
    _say(out, first or "There is nothing to tie in this design.")
    if first is None:
        return 0
    for answer in answers:
        word = answer.rstrip("\r\n")
        if word == "q":
            break
        if word not in ("", "b"):
            _say(notices, f"Not understood. {ANSWERS[0].upper()}{ANSWERS[1:]}.")
            continue
        try:
            if word:
                held.back()
            else:
                held.finish_step()
        except TakenOver:
            _say(notices, f"{GONE_ON} Nothing was counted; leaving.")
            return 1
        except StoreError as error:
            _say(notices, f"Not saved, so not counted. {error}")
            continue
        if not _planned(held, notices):
            return 1
        line = current(held)
        _say(out, line or f"That was the last of {held.whole.size} steps: all done.")
        if line is None:
            break
    return 0


def _planned(held: OpenPiece, notices: TextIO) -> bool:
    """Sees to it that a piece worked by segments has a plan; False when another window has gone on with it."""
    if not held.needs_plan:
        return True
    if not held.can_plan_at_once:
        _say(notices, "Looking for the order with the fewest pick-ups.")
    try:
        held.use_plan(held.plan())
    except TakenOver:
        _say(notices, f"{GONE_ON} Leaving.")
        return False
    except StoreError as error:
        _say(notices, f"{NOT_KEPT} {error}")
    return True


def notices_of(opening: OpenedPiece) -> list[str]:
    """What a person should know before going on with this piece, a sentence or two each."""
    notices: list[str] = []
    if opening.broken:
        notices.append(f"The design's file cannot be used now; the piece goes on with its own copy. {opening.broken}")
    if opening.changed:
        what = "; ".join(opening.changed)
        notices.append(
            f"The design has changed since this piece was begun ({what}); the piece goes on with its own copy."
        )
    if opening.held.wrong is not None:
        count = len(opening.held.must_come_out())
        notices.append(f"A knot is marked wrong: {count} must come out first. An empty line says the one told is out.")
    return notices


def current(held: OpenPiece) -> str | None:
    """The line of the step to do now, or of the one that must come out now; None when all is done."""
    number, comes_out = held.current_step()
    if number is None:
        return None
    line = step_words.line(held.whole, held.order.place[number] + 1, number, comes_out=comes_out)
    run = None if comes_out or held.way.by != "segments" else held.progress.current_run
    if run is None:
        return line
    following = step_words.next_pick_up(held.whole, run, held.progress.hanging) if run.at == run.of else ""
    return f"{line}; {step_words.in_hand(held.whole, run)}" + (f", then pick up {following}" if following else "")


def _say(stream: TextIO, text: str) -> None:
    stream.write(text + "\n")
    stream.flush()
