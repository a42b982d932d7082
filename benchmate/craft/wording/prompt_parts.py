"""The parts of spoken prompts: the level of detail, what the maker has heard already, and ways to join words."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import Enum
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.knots import NAMES, Knot
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
    empty when the prompt must not rely on earlier ones. `last_steps` are the steps tied last. `work` is the family's
    own work, and `ahead` are the steps to do now, counted within it. `to_read` is true when the prompt stands on the
    screen, where its length does not matter. `names` are the names of the knots by ear. `fits` tells whether words are
    short enough for one prompt.
    """

    level: Level
    run: CurrentRun | None = None
    numbers: Sequence[int] = ()
    steps: Sequence[Step] = ()
    knotting: Sequence[int] = ()
    last_steps: Sequence[Step] = ()
    work: Work | None = None
    ahead: Sequence[int] = ()
    to_read: bool = False
    names: Mapping[Knot, str] = NAMES["chart"]
    fits: Callable[[str], bool] = bool

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


THEN = ", then "
"""Joins what one press counts: after it comes another knot, another string or another move."""


def alike_counted(names: Iterable[str]) -> str:
    """The names of knots, with a count for equal ones in a row: `3 forward, then one forward-backward`.

    Among others, a name of two words has its count even where that is one, so that it is not taken for two knots.
    """
    found = [(name, len(list(alike))) for name, alike in groupby(names)]
    if len(found) == 1:
        return times(found[0][1], found[0][0])
    return THEN.join(
        f"one {name}" if count == 1 and not name.isalpha() else times(count, name) for name, count in found
    )


def times(count: int, name: str) -> str:
    """`3 forward`, or `forward` for a single one."""
    return f"{count} {name}" if count > 1 else name


def each_counted(names: Iterable[str]) -> str:
    """The names of several steps, with a count for equal ones in a row: `Fold. Braid, 12 times`."""
    words = []
    for name, same in groupby(names):
        count = len(list(same))
        words.append(f"{name.rstrip('.')}, {count} times" if count > 1 else name)
    return sentences(*words)


_ORDINALS = {
    1: "first",
    2: "second",
    3: "third",
    4: "fourth",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    8: "eighth",
    9: "ninth",
    10: "tenth",
    11: "eleventh",
    12: "twelfth",
    13: "thirteenth",
    14: "fourteenth",
    15: "fifteenth",
    16: "sixteenth",
    17: "seventeenth",
    18: "eighteenth",
    19: "nineteenth",
    20: "twentieth",
}
_ENDINGS = {1: "st", 2: "nd", 3: "rd"}


class Detail(Enum):
    """How full a wording is: that of a level, or one with fewer pauses and words where the sparse one is too long."""

    FULL = 0
    SHORT = 1
    SPARSE = 2
    TIGHT = 3
    TIGHTEST = 4
    BARE = 5


def details(level: Level) -> list[Detail]:
    """The wordings for a level, the fullest first."""
    return list(Detail)[Detail[level.name].value :]


def position(at: int, of: int, detail: Detail) -> str:
    """A position for fingers, from the nearer edge: `second from the right`; `at` counts from 1 from the left."""
    the = "the " if detail in (Detail.FULL, Detail.SHORT) else ""
    bare = detail in (Detail.TIGHTEST, Detail.BARE)
    between = " " if bare else f" from {the}"
    from_right = of - at + 1
    if at == from_right:
        return "middle" if bare else f"{the}middle one"
    return f"{ordinal(min(at, from_right))}{between}{'left' if at < from_right else 'right'}"


def ordinal(number: int) -> str:
    """`second`, `21st`."""
    if number in _ORDINALS:
        return _ORDINALS[number]
    ending = "th" if number % 100 in (11, 12, 13) else _ENDINGS.get(number % 10, "th")
    return f"{number}{ending}"
