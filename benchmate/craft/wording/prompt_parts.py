"""What prompts for the ear are made of: how much is said, what was heard before, and words put together."""

from collections.abc import Iterable, Sequence
from enum import Enum
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.knots import Knot
from benchmate.craft.progress import CurrentRun
from benchmate.craft.work import Step


class Level(Enum):
    """How much is said: all that helps in learning a band, what a practised hand needs, or only what changes."""

    FULL = "full"
    SHORT = "short"
    SPARSE = "sparse"


class PromptContext(NamedTuple):
    """What the maker knows when a prompt begins, and how much it is to say.

    `run` is the run the step belongs to. `numbers` are the steps tied since a prompt was heard to its end, counted
    within the family's own work; `steps` are those steps, and `makers` the strings that made them; all are empty when
    the step is told afresh. `last` are the steps tied last. `said` is true when this prompt says something ahead of the
    step.
    """

    level: Level
    run: CurrentRun | None = None
    numbers: Sequence[int] = ()
    steps: Sequence[Step] = ()
    makers: Sequence[int] = ()
    last: Sequence[Step] = ()
    said: bool = False

    def holds(self, maker: int) -> bool:
        """True when, as far as was heard, this string is in hand."""
        return bool(self.makers) and all(each == maker for each in self.makers)


def joined(words: Iterable[str]) -> str:
    """The words with a pause between them; empty ones are left out."""
    return ", ".join(word for word in words if word)


def sentences(*words: str) -> str:
    """The words as sentences; empty ones are left out."""
    return ". ".join(word.rstrip(".") for word in words if word)


def alike_counted(knots: Iterable[Knot]) -> list[str]:
    """The knots by name, those that are alike and follow one another as a count: `3 forward`."""
    found = []
    for knot, alike in groupby(knots):
        count = len(list(alike))
        found.append(f"{count} {knot.words}" if count > 1 else knot.words)
    return found


def each_counted(names: Iterable[str]) -> str:
    """Several steps by their names, those that are alike and follow one another as a count: `Fold. Braid, 12 times`."""
    words = []
    for name, same in groupby(names):
        count = len(list(same))
        words.append(f"{name.rstrip('.')}, {count} times" if count > 1 else name)
    return sentences(*words)
