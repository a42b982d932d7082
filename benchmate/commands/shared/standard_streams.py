"""Standard input, output and error: all text that is printed is cleaned here, and what became of it is remembered.

The only ways round the cleaning are `print_painted`, for text that has colours, and `print_bytes`, for whole files.
"""

import io
import os
import sys
from typing import Any

from benchmate.files.safe_text import painted, printable


class SafeStream(io.TextIOWrapper):
    """Standard output or error whose text cannot control the terminal, whatever it repeats.

    An error that an `optional` stream meets stops nothing: what was to be read there is lost, but the work is not.
    """

    failure: OSError | None = None
    """The first error met in writing."""

    def __init__(self, stream: io.TextIOWrapper, *, optional: bool) -> None:
        """Takes the place of `stream`, which must not be written to any more but stays open."""
        stream.flush()
        # If it went away, it would close its file, which is also ours.
        self._before = stream
        # Python may be told not to buffer. What a raw stream has no room for would be lost without an error.
        self._unbuffered = isinstance(stream.buffer, io.RawIOBase)
        super().__init__(
            io.BufferedWriter(stream.buffer) if isinstance(stream.buffer, io.RawIOBase) else stream.buffer,
            encoding=stream.encoding,
            errors="backslashreplace",
            line_buffering=stream.line_buffering,
            write_through=stream.write_through,
        )
        self._optional = optional

    def write(self, text: str, /) -> int:
        """Prints the text, cleaned."""
        written = self._attempt(super().write, printable(text))
        if self._unbuffered:
            self.flush()
        return written

    def write_painted(self, text: str) -> None:
        """Prints text that has sequences for colours; all others are cleaned."""
        self._attempt(super().write, painted(text))

    def write_bytes(self, data: bytes) -> None:
        """Prints the content of a file, as it is."""
        self.flush()
        self._attempt(self.buffer.write, data)
        self.flush()

    def flush(self) -> None:
        """Hands on all that was printed."""
        self._attempt(super().flush)

    def _attempt(self, act: Any, *arguments: str | bytes) -> int:
        try:
            return act(*arguments) or 0
        except OSError as error:
            self.failure = self.failure or error
            if not self._optional:
                raise
            return 0


def prepare() -> tuple[SafeStream, SafeStream]:
    """Prepares the standard streams, once; returns standard output and error."""
    _take_free_descriptors()
    # Python has no object for a stream that was closed before the start, and would print to the other one instead.
    out = SafeStream(_stream(sys.stdout, 1), optional=False)
    err = SafeStream(_stream(sys.stderr, 2), optional=True)
    sys.stdout, sys.stderr = out, err
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="backslashreplace")
    return out, err


def _take_free_descriptors() -> None:
    """Opens the null device for every standard stream that is closed.

    Otherwise the next file to be opened, a database say, would take its place, and get all that is printed there.
    """
    for descriptor, flags in enumerate((os.O_RDONLY, os.O_WRONLY, os.O_WRONLY)):
        try:
            os.fstat(descriptor)
        except OSError:
            # The lowest free descriptor is taken, which is this one.
            os.set_inheritable(os.open(os.devnull, flags), True)


def _stream(stream: Any, descriptor: int) -> io.TextIOWrapper:
    if isinstance(stream, io.TextIOWrapper):
        return stream
    return open(descriptor, "w", encoding="utf-8", closefd=False)


def print_painted(text: str) -> None:
    """Prints text with colours on standard output, and a line break."""
    if isinstance(sys.stdout, SafeStream):
        sys.stdout.write_painted(f"{text}\n")
    else:
        print(painted(text))


def print_bytes(data: bytes, *, on_error_stream: bool = False) -> None:
    """Prints the content of a file on standard output, or on standard error."""
    stream = sys.stderr if on_error_stream else sys.stdout
    if isinstance(stream, SafeStream):
        stream.write_bytes(data)
        return
    stream.flush()
    stream.buffer.write(data)
    stream.buffer.flush()


def at_a_terminal() -> bool:
    """True when all standard streams are a terminal. The full screen needs that; it is drawn on standard error."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def without_screen() -> bool:
    """True, and said on standard error, when the full screen cannot be shown and all goes on in plain lines."""
    if not at_a_terminal():
        print("Not in a terminal, so continuing in plain lines.", file=sys.stderr)
        return True
    if os.environ.get("TERM", "").strip().lower() in ("", "dumb"):
        print("This terminal cannot show the full screen, so continuing in plain lines.", file=sys.stderr)
        return True
    return False
