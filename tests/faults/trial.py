"""A fault, one trial of it, and what came out of the trial."""

import random
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple, TypeVar

T = TypeVar("T")


class NotTried(Exception):
    """A fault that cannot be tried on this machine, or not yet; the text says why."""


class Trial:
    """One attack: its own randomness, its own folder, and what was found wrong."""

    def __init__(self, number: int, chance: random.Random, folder: Path, prepared: Path) -> None:
        """`folder` is empty and goes away afterwards; `prepared` is shared by all trials of the fault, to be read."""
        self.number = number
        self.chance = chance
        self.folder = folder
        self.prepared = prepared
        self.lost: list[str] = []
        self.told: list[str] = []

    def in_turn(self, kinds: Sequence[T]) -> T:
        """One of the kinds: each trial takes the next, so that even a few trials take all."""
        return kinds[self.number % len(kinds)]

    def was_lost(self, what: str) -> None:
        """Notes something that was said to be saved and is gone after following the program's own advice."""
        self.lost.append(what)

    def told_wrongly(self, what: str) -> None:
        """Notes something untrue: a traceback, a wrong status or count, a wrong reason, advice that does not help."""
        self.told.append(what)

    def check(self, holds: bool, what: str) -> None:
        """Notes `what` as told wrongly unless it holds."""
        if not holds:
            self.told_wrongly(what)


class Outcome(NamedTuple):
    """What one trial found: its number, and the two kinds of failures."""

    number: int
    lost: tuple[str, ...]
    told: tuple[str, ...]


def nothing(folder: Path) -> None:
    """Prepares nothing."""


class Fault(NamedTuple):
    """A kind of attack: its name, how often to try it, the attack, and what all its trials share.

    `prepare` raises NotTried where the fault cannot be tried.
    """

    name: str
    short: int
    long: int
    attack: Callable[[Trial], None]
    prepare: Callable[[Path], None] = nothing


class Result(NamedTuple):
    """All trials of a fault; `not_tried` is the reason where there was none."""

    name: str
    outcomes: tuple[Outcome, ...]
    not_tried: str = ""

    @property
    def lost(self) -> int:
        """The number of trials in which something was lost."""
        return sum(bool(outcome.lost) for outcome in self.outcomes)

    @property
    def told(self) -> int:
        """The number of trials in which something untrue was told."""
        return sum(bool(outcome.told) for outcome in self.outcomes)


def chance_for(seed: int, fault: str, number: int) -> random.Random:
    """The randomness of one trial, the same whenever it is run again."""
    return random.Random(f"{seed}/{fault}/{number}")
