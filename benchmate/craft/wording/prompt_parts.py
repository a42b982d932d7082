"""The parts of spoken prompts: the level of detail, what the maker has heard already, and ways to join words."""

from collections.abc import Iterable, Sequence
from enum import Enum
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.knots import Knot
from benchmate.craft.progress import CurrentRun
from benchmate.craft.work import Step, Work


class Level(Enum):
    """The level of detail: everything a learner needs, what a practised hand needs, or only what changes."""

    FULL = "full"
    SHORT = "short"
    SPARSE = "sparse"


class PromptContext(NamedTuple):
    """What a prompt builds on: what the maker has heard, and how much to say.

    `run` is the run the step belongs to. `numbers` are the steps tied since the maker last heard a prompt to its end,
    counted within the family's own work; `steps` are those steps and `knotting` their knotting strings. All three are
    empty when the prompt must not rely on earlier ones. `last_steps` are the steps tied last. `has_lead_in` is true
    when this prompt says something before the step. `work` is the family's own work, and `ahead` are the steps to do
    now, counted within it. `to_read` is true when the prompt stands on the screen, where its length does not matter.
    """

    level: Level
    run: CurrentRun | None = None
    numbers: Sequence[int] = ()
    steps: Sequence[Step] = ()
    knotting: Sequence[int] = ()
    last_steps: Sequence[Step] = ()
    has_lead_in: bool = False
    work: Work | None = None
    ahead: Sequence[int] = ()
    to_read: bool = False

    def still_in_hand(self, string: int) -> bool:
        """True when the maker knows from earlier prompts that this string is in hand."""
        return bool(self.knotting) and all(each == string for each in self.knotting)


def joined(words: Iterable[str]) -> str:
    """The words with a pause between them, empty ones left out."""
    return ", ".join(word for word in words if word)


def sentences(*words: str) -> str:
    """The words as sentences on one line, empty ones left out; the last one has no full stop."""
    said = [word.rstrip(".") for word in words if word]
    return " ".join([*(word if word.endswith(("?", "!")) else f"{word}." for word in said[:-1]), *said[-1:]])


def alike_counted(knots: Iterable[Knot]) -> list[str]:
    """The names of the knots, with a count for equal ones in a row: `3 forward`."""
    found = []
    for knot, alike in groupby(knots):
        count = len(list(alike))
        found.append(f"{count} {knot.words}" if count > 1 else knot.words)
    return found


def each_counted(names: Iterable[str]) -> str:
    """The names of several steps, with a count for equal ones in a row: `Fold. Braid, 12 times`."""
    words = []
    for name, same in groupby(names):
        count = len(list(same))
        words.append(f"{name.rstrip('.')}, {count} times" if count > 1 else name)
    return sentences(*words)
