"""Waits for the bench to end, and restores its terminal if it was killed. Run by `restorer`, as a program of its own.

Standard input is a pipe from the bench, standard output the terminal, standard error what the bench draws on. The
arguments are numbers: the terminal's four flags as the bench set them, then all its settings as they were before.
"""

import os
import signal
import sys
import termios

IGNORED = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT, signal.SIGTSTP, signal.SIGTTIN, signal.SIGTTOU)
"""Signals that may be meant for the bench. They need not end this process: it ends with the bench."""
LONGEST = 5
"""Seconds that a terminal has to take what is written; then the system ends this process."""
RESTORED = (
    b"\x1b[?2026l"  # show what is drawn
    b"\x1b[?1000l\x1b[?1003l\x1b[?1015l\x1b[?1006l\x1b[?1016l"  # no mouse reports
    b"\x1b[?2004l\x1b[?2048l\x1b[?1004l"  # no marks around pastes, no reports of sizes and focus
    b"\x1b[<u\x1b[?7h"  # the older keyboard protocol, lines that wrap
    b"\x1b[0m\x1b[?1049l\x1b[?25h"  # usual colours, the screen as it was, a cursor
)


def main() -> None:
    """Waits, then restores the terminal unless the bench has said that it did."""
    for number in IGNORED:
        signal.signal(number, signal.SIG_IGN)
    if os.read(0, 1):
        return
    signal.alarm(LONGEST)
    flags, *before = list(map(int, sys.argv[1:5])), *map(int, sys.argv[5:])
    settings: list[int | list[bytes | int]] = [*before[:6], [bytes([number]) for number in before[6:]]]
    try:
        # A shell that has the terminal back already has changed the settings to its own.
        if termios.tcgetattr(1)[:4] == flags:
            termios.tcflush(1, termios.TCIFLUSH)
            termios.tcsetattr(1, termios.TCSANOW, settings)
        os.write(2, RESTORED)
    except (OSError, termios.error):
        # The terminal is gone as well.
        return


if __name__ == "__main__":
    main()
