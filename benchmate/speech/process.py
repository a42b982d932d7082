"""A helper process from outside: starting it, sending its one task, hearing its events, killing it and its children."""

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

from benchmate.speech.error_output import last_line
from benchmate.speech.folders import LOG, of_helper
from benchmate.speech.strays import kill_outside_group, kill_with_folder

ROOT = Path(__file__).resolve().parents[2]
START = """
import os, sys
sys.path.insert(sys.path.index(os.path.dirname(os.__file__)) + 1, sys.argv.pop())
from benchmate.speech.helper import main
main()
"""
"""Runs the helper of this very package, which is searched after Python's own modules and before installed ones.

Nothing is imported from the current folder.
"""


EVENT = b'{"event": '
"""The beginning of each event. A customised Python may print something before it on the same line."""


class Helper:
    """One helper process."""

    def __init__(self, place: Path, on_event: Callable[["Helper", dict[str, Any] | None], None]) -> None:
        """Starts it; its folder will be in `place`.

        `on_event` is called in a thread of its own with each event, and with None after the last one.
        Raises OSError.
        """
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-c", START, str(place), str(ROOT)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            bufsize=0,
            **_group_options(),
        )
        self._folder = of_helper(place, self._process.pid)
        self.ready = False
        """True once it can be sent its task."""
        self.dismissed = False
        """True once it has done its task or is no longer needed, so that the way it ends does not matter."""
        self.deadline: float | None = None
        """The time, by the monotonic clock, when it counts as hung."""
        self.due = float("inf")
        """The time, by the same clock, when it should begin its task, or once it has begun, end it."""
        threading.Thread(target=self._listen, args=(on_event,), daemon=True).start()

    def _listen(self, on_event: Callable[[Self, dict[str, Any] | None], None]) -> None:
        assert self._process.stdout is not None
        with self._process.stdout as stream:
            rest = b""
            while part := stream.read(1 << 16):
                *lines, rest = (rest + part).split(b"\n")
                for line in lines:
                    if EVENT in line:
                        on_event(self, json.loads(line[line.index(EVENT) :]))
        on_event(self, None)

    @property
    def is_stopped(self) -> bool:
        """True when the process is stopped, as by a terminal, or has ended."""
        if sys.platform != "linux":
            return False
        flags = os.WSTOPPED | os.WEXITED | os.WNOHANG | os.WNOWAIT
        return self._process.returncode is not None or os.waitid(os.P_PID, self._process.pid, flags) is not None

    def send(self, task: dict[str, Any]) -> None:
        """Sends it its one task. If it has died, the None event follows soon."""
        assert self._process.stdin is not None
        with suppress(BrokenPipeError):
            self._process.stdin.write(json.dumps(task).encode() + b"\n")

    def kill(self) -> None:
        """Kills it and everything it started, see `strays`. May be repeated."""
        if sys.platform == "win32":
            self._process.kill()
        # Until it is waited for, its process id and its group's id are not reused.
        elif self._process.returncode is None:
            # Some systems refuse to signal a group in which every process has ended.
            with suppress(ProcessLookupError, PermissionError):
                # Stopped, it starts nothing more while its strays are looked for, and reports nothing.
                os.killpg(self._process.pid, signal.SIGSTOP)
                kill_outside_group(self._process.pid)
                os.killpg(self._process.pid, signal.SIGKILL)

    def clean_up(self) -> None:
        """Kills what is left of it, waits for it and deletes its folder."""
        self.kill()
        self._process.wait()
        if not self.dismissed:
            kill_with_folder(self._folder)
        assert self._process.stdin is not None
        self._process.stdin.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def last_error(self) -> str:
        """The last line of its error output, if there is any; call it before `clean_up`."""
        try:
            with (self._folder / LOG).open("rb") as log:
                return last_line(log)
        except FileNotFoundError:
            return ""


def _group_options() -> dict[str, Any]:
    """Popen's options for a process group apart from the terminal's, which can be killed as a whole."""
    if sys.platform == "win32":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW}
    return {"process_group": 0}
