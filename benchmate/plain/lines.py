"""The lines that plain mode prints: answers on standard output, notices on standard error, each flushed at once."""

from typing import TextIO

from benchmate.display.cells import wrap


class Lines:
    """Prints lines of at most `width` cells, or as long as they are where it is 0."""

    def __init__(self, out: TextIO, notices: TextIO, width: int = 0) -> None:
        self._out = out
        self._notices = notices
        self.width = width

    def say(self, text: str) -> None:
        """Prints what was asked for."""
        self._write(self._out, text)

    def notice(self, text: str) -> None:
        """Prints what the person should know, and what was not understood."""
        self._write(self._notices, text)

    def _write(self, stream: TextIO, text: str) -> None:
        for line in wrap(text, self.width) if self.width else [text]:
            stream.write(line + "\n")
        stream.flush()
