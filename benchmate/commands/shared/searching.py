"""What a long search is at, on standard error, while somebody waits at a terminal; nothing of it stays."""

import sys
import time

from benchmate.commands.shared.standard_streams import print_bytes
from benchmate.files.safe_text import shown

WAIT = 0.7
"""Seconds before a search is called long; then so many between two signs of life."""
WIDEST = 70


class Searching:
    """One line at a terminal, which grows by a dot while the search goes on."""

    def __init__(self) -> None:
        self._at_terminal = sys.stderr is not None and sys.stderr.isatty()
        self._next = time.monotonic() + WAIT
        self._dots = 0
        self._wide = 0

    def tell(self, what: str) -> None:
        """Shows what is being looked for, once the search has gone on for a while."""
        if not self._at_terminal or time.monotonic() < self._next:
            return
        self._next = time.monotonic() + WAIT
        self._dots = self._dots % 3 + 1
        text = f"{shown(what)[:WIDEST]} {'.' * self._dots:<3}"
        self._write(text)
        self._wide = max(self._wide, len(text.encode()))

    def clear(self) -> None:
        """Takes the line away."""
        if self._wide:
            self._write(" " * self._wide)
            self._write("")

    def _write(self, text: str) -> None:
        print_bytes(f"\r{text}".encode(), on_error_stream=True)
