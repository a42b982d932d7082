"""The terminal under the screen: that it is still there, and that the program has it again after it was stopped."""

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
"""Seconds between looks whether the terminal is still there."""
TO_END = 0.5
"""Seconds a stopped program that was woken in the background has to end in, before it is stopped again."""
GONE = 3
"""After so many looks without one the program is ended, if it has not ended by itself."""


def has_terminal() -> bool:
    """True while there is a terminal to read from."""
    return os.isatty(sys.__stdin__.fileno() if sys.__stdin__ else 0)


def end_without_terminal() -> None:
    """Has the program end some time after its terminal has gone, whatever it is waiting for.

    The framework's own thread that writes to the terminal dies with it, and whoever has more to write then waits for
    ever. Every press is on the disk before it is shown, so nothing is lost.
    """
    threading.Thread(target=_watch, name="watch", daemon=True).start()


def _watch() -> None:
    gone = 0
    while gone < GONE:
        time.sleep(WATCH)
        gone = 0 if has_terminal() else gone + 1
    os._exit(0)


def take_back_after_stop(driver: Driver, loop: AbstractEventLoop, then: Callable[[], object]) -> None:
    """Has a program that goes on after it was stopped take its terminal back in full, and `then` called.

    The framework lets go of the terminal when it is asked to stop, and takes it when it goes on. Stopped unasked, it
    would take it a second time: with two readers of one keyboard, of which one is left when the program should end.
    And whoever ends a stopped program wakes it behind the shell's back: it may not take the terminal then, and would be
    stopped again before it came to its end.
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
            # What it was woken for is seen to first; a program that has not ended by then waits on.
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
    """True while this program, and not another one or the shell, has the terminal."""
    try:
        return os.tcgetpgrp(sys.__stdin__.fileno() if sys.__stdin__ else 0) == os.getpgrp()
    except OSError:
        return True
