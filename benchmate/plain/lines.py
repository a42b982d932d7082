"""The lines that plain mode prints: answers on standard output, notices on standard error, each flushed at once."""

import re
from typing import TextIO

from benchmate.display.cells import fits, wrap
from benchmate.files.safe_text import shown
from benchmate.plain.abbreviations import abbreviated

_COUNT = re.compile(r"\d+/\d+(?= )")


class Lines:
    """Prints lines of at most `width` cells, or as long as they are where it is 0.

    A line that begins with `n/of ` is a step: no other line does, and no line after the first of a step.
    """

    def __init__(self, out: TextIO, notices: TextIO, width: int = 0) -> None:
        self._out = out
        self._notices = notices
        self.width = width
        self._noticed: set[str] = set()

    def step(self, text: str, *, written: bool = False) -> None:
        """Prints a step: on one line where that is wide enough, else abbreviated, else on several lines.

        A `written` step is prose, which abbreviations would make hard to read.
        """
        _write(self._out, step_lines(text, self.width, written=written))

    def say(self, text: str) -> None:
        """Prints what was asked for."""
        _write(self._out, other_lines(text, self.width))

    def notice(self, text: str) -> None:
        """Prints what the person should know, and what was not understood."""
        _write(self._notices, other_lines(text, self.width))

    def notice_once(self, text: str) -> None:
        """Prints what the person should know, unless these lines have printed it before."""
        if text not in self._noticed:
            self._noticed.add(text)
            self.notice(text)


def step_lines(text: str, width: int, *, written: bool = False) -> list[str]:
    """A step in lines of at most `width` cells, with abbreviations where that makes them fewer; one line for 0.

    A `written` step is not abbreviated.
    """
    text = shown(text).rstrip()
    if not width or fits(text, width):
        return [text]
    full = _wrapped_step(text, width)
    short = full if written else _wrapped_step(abbreviated(text), width)
    first, *rest = short if len(short) < len(full) else full
    return [first, *_without_counts(rest)]


def _wrapped_step(text: str, width: int) -> list[str]:
    """The lines of a step. The first has more than the count, if only a part of a long word."""
    lines = wrap(text, width)
    if " " in lines[0]:
        return lines
    count, _, words = text.partition(" ")
    first, *rest = wrap(f"{count}_{words}", width)
    return [first.replace("_", " ", 1), *rest]


def other_lines(text: str, width: int) -> list[str]:
    """Any other text in lines of at most `width` cells; its own line breaks stay."""
    parts = [shown(part).rstrip() for part in text.split("\n")]
    return _without_counts([line for part in parts for line in (wrap(part, width) if width else [part])])


def _without_counts(lines: list[str]) -> list[str]:
    """The lines, those that would begin like a step broken behind the count."""
    found: list[str] = []
    waiting = lines[::-1]
    while waiting:
        line = waiting.pop()
        count = _COUNT.match(line)
        if count is None:
            found.append(line)
        else:
            found.append(count.group())
            waiting.append(line[count.end() :].lstrip())
    return found


def _write(stream: TextIO, lines: list[str]) -> None:
    stream.write("".join(f"{line}\n" for line in lines))
    stream.flush()
