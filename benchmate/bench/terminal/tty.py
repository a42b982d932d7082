"""The terminal itself: notices when it is gone, and takes it back after the program was stopped."""

import os
import signal
import sys
import threading
import time
from asyncio import AbstractEventLoop
from collections.abc import Callable
from types import FrameType

from textual.driver import Driver

WATCH = 2.0
"""Seconds between checks that the terminal is still there."""
TO_END = 0.5
"""Seconds that a program woken in the background has to end, before it is stopped again."""
GONE = 3
"""After this many checks without a terminal the process is ended, if it still runs."""


def has_terminal() -> bool:
    """True while there is a terminal to read from."""
    return os.isatty(sys.__stdin__.fileno() if sys.__stdin__ else 0)


def end_without_terminal() -> None:
    """Ends the program a few seconds after its terminal is gone, whatever it is waiting for.

    The framework's thread that writes to the terminal dies with it, and anything that writes more then waits for ever.
    Every press is on the disk before it is shown, so nothing is lost.
    """
    threading.Thread(target=_watch, name="watch", daemon=True).start()


def _watch() -> None:
    gone = 0
    while gone < GONE:
        time.sleep(WATCH)
        gone = 0 if has_terminal() else gone + 1
    os._exit(0)


def take_back_after_stop(driver: Driver, loop: AbstractEventLoop, then: Callable[[], object]) -> None:
    """Takes the terminal back in full when a stopped program continues, and then calls `then`.

    The framework releases the terminal when it is asked to stop (SIGTSTP), and takes it when it continues. After a
    SIGSTOP it never released it and would take it a second time, with two threads reading one keyboard, one of which
    would outlive the screen. And a signal that ends a stopped program wakes it in the background, where it must not
    take the terminal: it would be stopped again before it could end.
    """
    stop, go_on = signal.getsignal(signal.SIGTSTP), signal.getsignal(signal.SIGCONT)
    assert callable(stop)
    assert callable(go_on)
    asked = False

    def stopped(number: int, frame: FrameType | None) -> None:
        nonlocal asked
        asked = True
        stop(number, frame)

    def continued(number: int, frame: FrameType | None) -> None:
        nonlocal asked
        if asked and not _in_front():
            # First handle the signal it was woken for; if it has not ended by then, stop again.
            signal.signal(signal.SIGTTOU, signal.SIG_IGN)
            loop.call_later(TO_END, wait_on)
        elif asked:
            asked = False
            go_on(number, frame)
        else:
            driver.suspend_application_mode()
            go_on(number, frame)
            then()

    def wait_on() -> None:
        signal.signal(signal.SIGTTOU, signal.SIG_DFL)
        if asked:
            os.kill(os.getpid(), signal.SIGSTOP)

    signal.signal(signal.SIGTSTP, stopped)
    signal.signal(signal.SIGCONT, continued)


def _in_front() -> bool:
    """True while this program, rather than the shell or another program, has the terminal."""
    try:
        return os.tcgetpgrp(sys.__stdin__.fileno() if sys.__stdin__ else 0) == os.getpgrp()
    except OSError:
        return True
