"""The framework's link to the terminal, made safe: it survives any input, and the terminal survives the bench."""

import os
import selectors
import time
from contextlib import suppress
from functools import partial

from textual.drivers.linux_driver import LinuxDriver

from benchmate.bench.terminal.keyboard import Keyboard
from benchmate.bench.terminal.restorer import Restorer

POLL = 0.1
"""Seconds between looks at whether to stop reading, and at what has been unfinished for too long."""
READ = 4096


class TerminalDriver(LinuxDriver):
    """Reads keys through a `Keyboard`, and has the terminal restored if the bench is killed."""

    _restorer: Restorer | None = None
    _restores = False
    _hears_mouse = False

    def run_input_thread(self) -> None:
        """Reads keys until the framework asks to stop. A fault in it ends the app as any other fault does."""
        if self._restores:
            self.restore_if_killed()
        try:
            self._read_keys(Keyboard(lambda: self._hears_mouse))
        except Exception as error:
            # This thread would end, and leave a bench that is deaf; the framework would call it a success.
            self._loop.call_soon_threadsafe(self._app.call_later, partial(_fail, error))

    def _read_keys(self, keyboard: Keyboard) -> None:
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if not selector.select(POLL):
                    messages = keyboard.quiet(time.monotonic())
                elif data := self._read():
                    messages = keyboard.feed(data, time.monotonic())
                else:
                    self.exit_event.wait(POLL)
                    continue
                for message in messages:
                    self.process_message(message)

    def _read(self) -> bytes:
        # Nothing comes from a terminal that is gone, or whose input another program has just taken.
        with suppress(OSError):
            return os.read(self.fileno, READ)
        return b""

    def hear_mouse(self, *, hear: bool) -> None:
        """Takes the buttons of the mouse as keys, or leaves the mouse to the terminal, as at first."""
        if hear != self._hears_mouse:
            self._hears_mouse = hear
            self._ask_for_mouse(on=hear)

    def _ask_for_mouse(self, *, on: bool) -> None:
        # Only buttons are reported, and in the form that has no end of columns.
        self.write("\x1b[?1000h\x1b[?1006h" if on else "\x1b[?1006l\x1b[?1000l")
        self.flush()

    def _enable_mouse_support(self) -> None:
        """Called by the framework whenever it takes the terminal, also after a stop."""
        if self._hears_mouse:
            self._ask_for_mouse(on=True)

    def _disable_mouse_support(self) -> None:
        """Called by the framework whenever it leaves the terminal."""
        if self._hears_mouse:
            self._ask_for_mouse(on=False)

    def restore_if_killed(self) -> None:
        """From now on, has the terminal restored even if this process is killed; to call once the screen is shown."""
        self._restores = True
        if self._restorer is None and self.attrs_before is not None:
            self._restorer = Restorer.watching(self.fileno, self.attrs_before)

    def close(self) -> None:
        """Ends this use of the terminal, which is as it was before."""
        super().close()
        if self._restorer is not None:
            self._restorer.dismiss()
            self._restorer = None


def _fail(error: Exception) -> None:
    raise error
