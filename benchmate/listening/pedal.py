"""The pedal that listens: two taps on the table, or two claps, press like a key. The bench's own sounds never do."""

import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
START = """
import os, sys
sys.path.insert(sys.path.index(os.path.dirname(os.__file__)) + 1, sys.argv.pop())
from benchmate.listening.microphone import main
main()
"""
"""Runs the microphone's process from this very package; nothing is imported from the current folder."""
ENDED = "Taps are no longer heard: the process that listens has ended."
EVENT = b'{"event": '

ECHO = 0.3
"""Seconds for which the bench's own voice and sounds still echo in the room."""
REFRACTORY = 0.3
"""Seconds from one press to the next, at least."""
LATE = 3.0
"""Seconds after which a press is no longer meant, as when the bench was stopped meanwhile."""


class Pedal:
    """Listens between `start` and `stop`."""

    def __init__(
        self, heard: Callable[[float], None], quiet_since: Callable[[], float | None], report: Callable[[str], None]
    ) -> None:
        """`heard` is called for each press, with the time it began, and `report` when nothing can be heard, with why.

        Both may be called in another thread, `report` once for each start. `quiet_since` tells since when the bench
        makes no sound, None while it makes one. All times are by the monotonic clock.
        """
        self._heard = heard
        self._quiet_since = quiet_since
        self._report = report
        self._process: subprocess.Popen[bytes] | None = None
        self._thread: threading.Thread | None = None
        self._pressed = float("-inf")
        self.listening = False
        """True while the microphone is heard."""

    def start(self) -> None:
        """Begins to listen; does nothing while it does. After a failure it tries again."""
        if self._process is not None and self._process.poll() is None:
            return
        self.stop()
        try:
            process = self._process = subprocess.Popen(
                [sys.executable, "-P", "-c", START, str(ROOT)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                bufsize=0,
                **_apart(),
            )
        except OSError as error:
            self._report(f"No taps can be heard: the process that listens cannot be started ({error.strerror}).")
            return
        self._thread = threading.Thread(target=self._listen, args=(process,), daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Stops listening, and leaves no process. Nothing is pressed or reported after it."""
        process, self._process = self._process, None
        thread, self._thread = self._thread, None
        self.listening = False
        if process is not None:
            process.kill()
        if thread is not None and thread is not threading.current_thread():
            thread.join(1.0)

    def _listen(self, process: "subprocess.Popen[bytes]") -> None:
        assert process.stdin is not None
        assert process.stdout is not None
        failed = ENDED
        with process.stdin, process.stdout as stream:
            rest = b""
            while part := stream.read(1 << 12):
                *lines, rest = (rest + part).split(b"\n")
                for line in lines:
                    if EVENT in line and process is self._process:
                        failed = self._take(json.loads(line[line.index(EVENT) :])) or failed
        process.wait()
        if process is self._process:
            self.listening = False
            self._report(failed)

    def _take(self, event: dict[str, Any]) -> str | None:
        """Takes an event of the microphone's process; the reason if it says that it failed."""
        match event["event"]:
            case "listening":
                self.listening = True
            case "failed":
                return str(event["message"])
            case "press":
                self._press(float(event["began"]), time.monotonic())
        return None

    def _press(self, began: float, now: float) -> None:
        quiet = self._quiet_since()
        if quiet is None or began < quiet + ECHO or began - self._pressed < REFRACTORY or now - began > LATE:
            return
        self._pressed = began
        self._heard(began)


def _apart() -> dict[str, Any]:
    """Popen's options for a process that the terminal's keys and signals do not reach."""
    if sys.platform == "win32":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW}
    return {"process_group": 0}
