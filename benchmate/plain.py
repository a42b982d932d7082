"""The same piece line by line on standard input and output: for screen readers, braille lines and pipes."""

from typing import TextIO

from benchmate.craft import telling
from benchmate.opening import Opening
from benchmate.store.database import StoreError
from benchmate.store.held import Held
from benchmate.store.pieces import TakenOver

ANSWERS = "an empty line: done; b: back up one; q: leave"


def run(opening: Opening, answers: TextIO, out: TextIO, notices: TextIO) -> int:
    """Leads through a piece that is held, to its last step or until the person leaves; returns the exit status."""
    held = opening.held
    for notice in notices_of(opening):
        _say(notices, notice)
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
                held.go_on()
        except TakenOver:
            _say(notices, "Another window has gone on with this piece. Nothing was counted; leaving.")
            return 1
        except StoreError as error:
            _say(notices, f"Not saved, so not counted. {error}")
            continue
        line = current(held)
        _say(out, line or f"That was the last of {held.whole.size} steps: all done.")
        if line is None:
            break
    return 0


def notices_of(opening: Opening) -> list[str]:
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


def current(held: Held) -> str | None:
    """The line of the step to do now, or of the one that must come out now; None when all is done."""
    number, comes_out = held.now()
    if number is None:
        return None
    return telling.line(held.whole, held.order.place[number] + 1, number, comes_out=comes_out)


def _say(stream: TextIO, text: str) -> None:
    stream.write(text + "\n")
    stream.flush()
