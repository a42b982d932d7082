"""Pace mode: a knot counts as done when its beat has run out, and its next line is printed."""

import time

from benchmate.craft.history import timing
from benchmate.craft.wording.prompts import Happened
from benchmate.exit_status import DONE
from benchmate.plain.answers import NoAnswer
from benchmate.plain.in_piece.session import Leave, Session

FASTER, SLOWER = ("faster", "-"), ("slower", "+")
"""The words that change the pace, also while it runs."""
CONTINUES = "Type pace to continue."
NO_TIMER = "No timer for this step; send an empty line when it is done"
CHECK_EVERY = 0.1
"""The most seconds between two looks whether a prompt is being spoken."""


class _StoodStill(Exception):
    """The program was stopped, or the machine asleep."""


def pace(session: Session, _: str) -> None:
    """Counts a knot each beat, at the maker's own pace unless one was chosen, until an answer pauses it."""
    if not session.answers.can_wait:
        session.refuse("Pace mode needs a terminal or a pipe.")
    elif _ready(session):
        before, session.press = session.press, "knot"
        try:
            _run(session, _beat(session))
        finally:
            session.press = before
        # The last line was that of a knot; an empty line may count more of them.
        if len(session.steps_of_press()) > 1:
            session.say_step()


def faster(session: Session, _: str) -> None:
    """Gives less time for a knot, from the next start of pace mode on."""
    _change(session, 1 / timing.FACTOR)


def slower(session: Session, _: str) -> None:
    """Gives more time for a knot, from the next start of pace mode on."""
    _change(session, timing.FACTOR)


def _change(session: Session, times: float) -> None:
    session.beat = timing.within(_beat(session) * times)
    session.say(f"{_each(session.beat)}; type pace to start.")


def _beat(session: Session) -> float:
    """The beat that was chosen, else the maker's own, else the usual one."""
    held = session.held
    return session.beat or timing.own_beat(held.whole, held.presses) or timing.DEFAULT_BEAT


def _each(seconds: float) -> str:
    return f"One knot every {seconds:.1f} seconds"


def _ready(session: Session) -> bool:
    """True when the next step has a beat and can be counted; otherwise a notice says why not."""
    held = session.held
    number = held.progress.next
    if held.wrong is not None:
        session.refuse("Undo the wrong knot before pace mode, or type keep to keep it.")
    elif number is None:
        session.refuse("All done.")
    elif not _has_beat(session, number):
        session.refuse(f"{NO_TIMER}.")
    else:
        return True
    return False


def _has_beat(session: Session, number: int) -> bool:
    """Whether a step has a beat: not where a string is laid in first."""
    return timing.has_beat(session.held.whole, number) and not session.quiet.takes_time(session)


def _run(session: Session, seconds: float) -> None:
    session.say(f"{_each(seconds)}; any answer pauses.")
    session.quiet.paced = True
    try:
        _count(session, seconds)
    finally:
        session.quiet.paced = False


def _count(session: Session, seconds: float) -> None:
    """Counts a knot with every beat until an answer, or a step without a beat."""
    held = session.held
    while True:
        try:
            answer = _wait(session, seconds)
        except NoAnswer:
            number = held.progress.next
            if number is None or not session.change(held.finish_step, Happened.TIED, [number]):
                return
            following = held.progress.next
            if following is None:
                return
            if not _has_beat(session, following):
                session.say(f"Paused. {NO_TIMER}.")
                return
        except _StoodStill:
            session.say(f"Paused: the program was stopped or the computer slept. Knot not counted. {CONTINUES}")
            return
        else:
            word = None if answer is None else answer.strip().casefold()
            if word is None:
                raise Leave(DONE)
            if word not in (*FASTER, *SLOWER):
                session.say(f"Paused, knot not counted. {CONTINUES}")
                if word:
                    session.answers.put_back(answer or "")
                return
            seconds = session.beat = timing.within(seconds * (timing.FACTOR if word in SLOWER else 1 / timing.FACTOR))
            session.say(f"{_each(seconds)}.")


def _wait(session: Session, seconds: float) -> str | None:
    """An answer that comes before the beat has run out; raises NoAnswer when none does."""
    due = time.monotonic() + seconds
    while True:
        now, before = time.monotonic(), time.time()
        if session.speaking:
            # A knot never counts while its prompt is still being spoken, nor too soon after it.
            due = max(due, now + timing.AFTER_WORDS)
        if now >= due:
            raise NoAnswer
        wait = min(CHECK_EVERY, due - now)
        try:
            return session.answers.next(wait)
        except NoAnswer:
            # The monotonic clock may stop while the machine is asleep; the wall clock does not.
            if abs(time.time() - before - wait) > timing.LATE:
                raise _StoodStill from None
