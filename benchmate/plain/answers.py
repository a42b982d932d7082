"""What a person answers in plain mode, a line at a time."""

from typing import TextIO

from benchmate.files.safe_text import shown


class Unreadable(Exception):
    """The answers cannot be read; the text tells the person why."""


class Answers:
    """Answers from a stream."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    @property
    def is_person(self) -> bool:
        """True when somebody types them at a terminal."""
        return self._stream.isatty()

    def next(self) -> str | None:
        """The next answer without its line end; None at the end of input. Raises Unreadable."""
        try:
            answer = self._stream.readline()
        except (OSError, UnicodeError) as error:
            raise Unreadable(shown(getattr(error, "strerror", None) or str(error))) from error
        return answer.rstrip("\r\n") if answer else None
