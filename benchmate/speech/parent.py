"""Noticing the death of the process that started this one, where the system can tell."""

import os
import signal
import sys
from collections.abc import Callable

_SIGNAL = 1
"""PR_SET_PDEATHSIG of prctl(2)."""


def signal_at_its_death(number: int) -> None:
    """Has the system send the signal `number` to this process when its parent dies; does nothing where it cannot.

    A process that this one starts has to ask for itself.
    """
    if sys.platform == "linux":
        from ctypes import CDLL

        CDLL(None).prctl(_SIGNAL, number)


def bound_to_this() -> Callable[[], None] | None:
    """What a child of this process runs first so as not to outlive it, even by a moment; None where it cannot."""
    if sys.platform != "linux":
        return None
    from ctypes import CDLL

    prctl, parent = CDLL(None).prctl, os.getpid()

    def bind() -> None:
        prctl(_SIGNAL, signal.SIGKILL)
        if os.getppid() != parent:
            os.kill(os.getpid(), signal.SIGKILL)

    return bind
