"""Noticing the death of a parent process, and being one for orphans, where the system supports it."""

import os
import signal
import sys
from collections.abc import Callable

_SIGNAL = 1
"""PR_SET_PDEATHSIG of prctl(2)."""
_ADOPTS = 36
"""PR_SET_CHILD_SUBREAPER of prctl(2)."""


def signal_on_parent_death(number: int) -> None:
    """Asks the system to send signal `number` to this process when its parent dies. Does nothing outside Linux.

    Child processes do not inherit this.
    """
    if sys.platform == "linux":
        from ctypes import CDLL

        CDLL(None).prctl(_SIGNAL, number)


def adopt_orphans() -> None:
    """Becomes the parent of every process started below this one whose own parent ends. Does nothing outside Linux."""
    if sys.platform == "linux":
        from ctypes import CDLL

        CDLL(None).prctl(_ADOPTS, 1, 0, 0, 0)


def dying_with_parent() -> Callable[[], None] | None:
    """A function for a child process to run first, so that it never outlives this process; None where unsupported."""

    if sys.platform != "linux":
        return None
    from ctypes import CDLL

    prctl, parent = CDLL(None).prctl, os.getpid()

    def bind() -> None:
        prctl(_SIGNAL, signal.SIGKILL)
        if os.getppid() != parent:
            os.kill(os.getpid(), signal.SIGKILL)

    return bind
