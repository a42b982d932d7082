"""A helper as whoever uses it sees it: started, given its one task, heard, and ended with all it has started."""

import json
import os
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, Self

from benchmate.speech.folders import LOG, of_helper
from benchmate.speech.last_words import last_words

ROOT = Path(__file__).resolve().parents[2]
START = """
import os, sys
sys.path.insert(sys.path.index(os.path.dirname(os.__file__)) + 1, sys.argv.pop())
from benchmate.speech.helper import main
main()
"""
"""The helper, out of the house this is in, which comes after Python's own modules and before all that is installed.

Nothing is imported from the current folder, whatever lies there.
"""


EVENT = b'{"event": '
"""How each line begins that a helper tells. Python may be set up to print something before it."""


class Helper:
    """One helper process."""

    def __init__(self, place: Path, hear: Callable[["Helper", dict[str, Any] | None], None]) -> None:
        """Starts it; its folder will be in `place`.

        `hear` is called in a thread of its own with each event, and with None when there can be no more.
        Raises OSError.
        """
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-c", START, str(place), str(ROOT)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            bufsize=0,
            **_alone(),
        )
        self._folder = of_helper(place, self._process.pid)
        self.ready = False
        """True once it can be given its task."""
        self.dismissed = False
        """True when it has done what it was for, or is not wanted any more: how it ends means nothing."""
        self.deadline: float | None = None
        """The moment, by the monotonic clock, at which it counts as hung."""
        threading.Thread(target=self._listen, args=(hear,), daemon=True).start()

    def _listen(self, hear: Callable[[Self, dict[str, Any] | None], None]) -> None:
        assert self._process.stdout is not None
        with self._process.stdout as stream:
            rest = b""
            while part := stream.read(1 << 16):
                *lines, rest = (rest + part).split(b"\n")
                for line in lines:
                    if EVENT in line:
                        hear(self, json.loads(line[line.index(EVENT) :]))
        hear(self, None)

    @property
    def stands_still(self) -> bool:
        """True when something has stopped it where it stands, as a terminal stops a program, or has ended it."""
        if sys.platform != "linux":
            return False
        flags = os.WSTOPPED | os.WEXITED | os.WNOHANG | os.WNOWAIT
        return self._process.returncode is not None or os.waitid(os.P_PID, self._process.pid, flags) is not None

    def give(self, task: dict[str, Any]) -> None:
        """Gives it its one task. When it has died meanwhile, that is heard soon."""
        assert self._process.stdin is not None
        with suppress(BrokenPipeError):
            self._process.stdin.write(json.dumps(task).encode() + b"\n")

    def kill(self) -> None:
        """Ends it and all it has started, now. May be repeated."""
        if sys.platform == "win32":
            self._process.kill()
        # Not yet waited for, it still has its number, and so has its group.
        elif self._process.returncode is None:
            # Some systems refuse to send anything to a group of which only the dead are left.
            with suppress(ProcessLookupError, PermissionError):
                os.killpg(self._process.pid, signal.SIGKILL)

    def bury(self) -> None:
        """Clears up after it, once it can be heard no more or was killed."""
        self.kill()
        self._process.wait()
        assert self._process.stdin is not None
        self._process.stdin.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def last_words(self) -> str:
        """What it complained of last, if anything; only before it is buried."""
        try:
            with (self._folder / LOG).open("rb") as log:
                return last_words(log)
        except FileNotFoundError:
            return ""


def _alone() -> dict[str, Any]:
    """How to start a process that stays out of the terminal's way, and can be ended with all it has started."""
    if sys.platform == "win32":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW}
    return {"process_group": 0}
