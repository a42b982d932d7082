"""What a person answers in plain mode, a line at a time."""

import codecs
import io
import os
import select
import sys
import time
from collections import deque
from typing import TextIO

from benchmate.files.safe_text import shown

AT_A_TIME = 8192
"""The most bytes read at a time."""


class Unreadable(Exception):
    """The answers cannot be read; the text tells the person why."""


class NoAnswer(Exception):
    """No answer came in time."""


class Answers:
    """Answers from a stream.

    Where the stream has a descriptor, it is read through that alone, so that a wait for an answer can end without one.
    """

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._ready: deque[str] = deque()
        self._begun: list[str] = []
        """What has come of a line that has not ended."""
        self._ended = False
        self._descriptor = _descriptor_of(stream)
        if self._descriptor is None:
            return
        decoder = codecs.getincrementaldecoder(stream.encoding or "utf-8")(stream.errors or "strict")
        self._decoder = io.IncrementalNewlineDecoder(decoder, translate=True)

    @property
    def is_person(self) -> bool:
        """True when somebody types them at a terminal."""
        return self._stream.isatty()

    @property
    def can_wait(self) -> bool:
        """True when a wait for an answer can end without one."""
        return self._descriptor is not None

    def next(self, timeout: float | None = None) -> str | None:
        """The next answer without its line end; None at the end of input. Raises Unreadable.

        Raises NoAnswer when none has come after `timeout` seconds; a stream without a descriptor has its answers at
        once.
        """
        if self._ready:
            return self._ready.popleft()
        if self._descriptor is None:
            return self._read_line()
        until = None if timeout is None else time.monotonic() + timeout
        while not self._ready and not self._ended:
            self._read(self._descriptor, None if until is None else max(0.0, until - time.monotonic()))
        return self._ready.popleft() if self._ready else None

    def put_back(self, answer: str) -> None:
        """Makes an answer the next one again."""
        self._ready.appendleft(answer)

    def comes_next(self, answer: str) -> bool:
        """Takes the next answer where it is this word and has come already; True when it did.

        Capitals and spaces around it do not matter.
        """
        if self._descriptor is None:
            return False
        try:
            here = self.next(timeout=0)
        except NoAnswer:
            return False
        if here is None:
            return False
        found = here.strip().casefold() == answer
        if not found:
            self.put_back(here)
        return found

    def _read_line(self) -> str | None:
        try:
            answer = self._stream.readline()
        except (OSError, UnicodeError) as error:
            raise _unreadable(error) from error
        return answer.rstrip("\r\n") if answer else None

    def _read(self, descriptor: int, timeout: float | None) -> None:
        """Takes what has come. Raises NoAnswer when that is nothing."""
        try:
            if not select.select([descriptor], [], [], timeout)[0]:
                raise NoAnswer
            data = os.read(descriptor, AT_A_TIME)
            text = self._decoder.decode(data, final=not data)
        except (OSError, ValueError) as error:
            raise _unreadable(error) from error
        *whole, rest = text.split("\n")
        for line in whole:
            self._ready.append("".join([*self._begun, line]))
            self._begun.clear()
        if rest:
            self._begun.append(rest)
        if not data:
            self._ended = True
            if self._begun:
                self._ready.append("".join(self._begun))
                self._begun.clear()


def _descriptor_of(stream: TextIO) -> int | None:
    """The descriptor of a stream that can be waited for; None where it has none, and on Windows, which cannot wait."""
    if sys.platform == "win32":
        return None
    try:
        return stream.fileno()
    except (OSError, ValueError):
        return None


def _unreadable(error: Exception) -> Unreadable:
    return Unreadable(shown(getattr(error, "strerror", None) or str(error)))
