"""Finds the command lines that a message advises, and follows them as written."""

import re
import shlex
from pathlib import Path
from typing import NamedTuple

from tests.faults.commands import forked
from tests.running import Done

ADVISED = re.compile(r": (benchmate (?:restore|pieces --import) .+)")
"""The commands at the end of a message, as one line of a shell."""


class Advice(NamedTuple):
    """An advised command line, taken apart."""

    arguments: tuple[str, ...]

    @property
    def file(self) -> Path:
        """The file it names."""
        return Path(self.arguments[2 if self.arguments[0] == "pieces" else 1])

    @property
    def of_a_part(self) -> bool:
        """Whether it brings back one piece, or the box, and leaves the rest as it is."""
        return "--piece" in self.arguments or "--box" in self.arguments


def advice_in(message: str) -> list[Advice]:
    """The commands in a message that bring something back, in their order; none where it advises none."""
    found: list[Advice] = []
    for words in (each for line in ADVISED.findall(message) for each in line.split(" && ")):
        advice = Advice(tuple(shlex.split(words)[1:]))
        if advice not in found:
            found.append(advice)
    return found


def follow(advice: Advice, home: Path) -> Done:
    """Runs the advised command and answers its question with yes."""
    return forked(*advice.arguments, home=home, given="yes\n")
