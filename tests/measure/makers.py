"""Simulated makers: how well their gauges learn, and how often a string runs short. `python -m tests.measure.makers`.

A maker has constants of their own, each drawn evenly from within 25 % of the shipped ones; the program never sees them.
Every piece has the tension of its day, every string its own noise, and one entry in 30 is mistaken. What the maker
enters after each piece is all that the program learns from. A string is short when it needs more than its needs and its
spare.
"""

import argparse
import time
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from random import Random
from statistics import mean
from typing import NamedTuple

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.learning.learned import learned
from benchmate.craft.thread.observations import Used
from benchmate.craft.thread.plausible import cannot_be
from benchmate.design_files.load import load
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.thread_use import thread_use
from tests.charts import random_chart
from tests.measure.table import Row, as_text, p95

AFTER = (0, 1, 2, 5, 10, 20)
"""After so many pieces it is looked how good the next cut list is."""
NEXT = 8
"""How many designs it is tried on each time."""
CONSTANTS = ("made_mm", "carried_mm", "stayed_mm", "waited_mm")
MISTAKEN = 1 / 30

Design = list[Counts]
"""What each string of a band does."""


class World(NamedTuple):
    """How makers are: their constants lie within `within` of the shipped ones; the deviations of noise and tension."""

    noise: float = 0.03
    tension: float = 0.04
    within: float = 0.25
    mistaken: float = MISTAKEN


class Maker:
    """A maker with constants of their own."""

    def __init__(self, chance: Random, world: World) -> None:
        self._chance, self._world = chance, world
        share = [chance.uniform(1 - world.within, 1 + world.within) for _ in CONSTANTS]
        self.constants: list[float] = [getattr(FLOSS, name) * each for name, each in zip(CONSTANTS, share, strict=True)]
        self.mistakes = 0
        self.tensions: list[float] = []

    def expected(self, counts: Counts) -> float:
        """What a string takes on an average day, mm."""
        return sum(count * constant for count, constant in zip(counts, self.constants, strict=True))

    def knots(self, design: Design) -> list[float]:
        """What every string takes when the band is knotted, mm."""
        day = max(0.5, self._chance.gauss(1, self._world.tension))
        self.tensions.append(day)
        return [self.expected(counts) * day * max(0.5, self._chance.gauss(1, self._world.noise)) for counts in design]

    def enters(self, design: Design, took: Sequence[float], before: Estimate) -> list[Used]:
        """What the maker says that every string used. What the program refuses is entered again, without mistake."""
        entries = []
        for place, counts in enumerate(design):
            said = took[place]
            if self._chance.random() < self._world.mistaken:
                mistake = self._chance.choice(MISTAKES)
                said = mistake(self._chance, place, took, before.needs_mm(counts) + before.spare_mm(counts))
                if cannot_be(before, Used(counts, said)):
                    said = took[place]
                else:
                    self.mistakes += 1
            entries.append(Used(counts, round(said)))
        return entries


Mistake = Callable[[Random, int, Sequence[float], float], float]


def _cut_wrong(chance: Random, place: int, took: Sequence[float], had: float) -> float:
    return max(1.0, took[place] + chance.choice((-1, 1)) * chance.uniform(100, 300))


MISTAKES: tuple[Mistake, ...] = (
    lambda chance, place, took, had: 2 * took[place],
    lambda chance, place, took, had: took[place] / 2,
    lambda chance, place, took, had: max(1.0, had - took[place]),
    lambda chance, place, took, had: chance.choice(took),
    _cut_wrong,
)
"""Ways to enter what is not so: twice, half, what is left in place of what was used, another string, one cut wrong."""


SHAPES = (
    *(
        "bead-rail",
        "first-pointed-band",
        "garden-path-stripe",
        "first-stripe",
        "tidewater-chevron",
        "gaps-in-the-fence",
    ),
    *("clearing-rain", "copper-kettle-zigzag", "lanterns-on-the-quay", "two-ropes", "bent-quill", "slow-current"),
    *("winter-hedge-diamonds", "chain-locker", "firs-in-snow", "leaded-window", "hearth-rug", "moth-at-the-window"),
)
"""Shipped diagonal designs of every shape, narrow to wide; named, so that a new one changes no figure."""


@cache
def designs(count: int = 40) -> list[Design]:
    """The shipped designs, and random ones; none with a string that does nothing."""
    bodies = [(load(name).design.body, load(name).design.repeats) for name in SHAPES]
    chance = Random(1)
    bodies += [(random_chart(chance, chance.randint(4, 16), chance.randint(40, 120)), 1) for _ in range(count)]
    found = []
    for body, repeats in bodies:
        assert isinstance(body, Diagonal)
        found.append([each.counts for each in thread_use(body, repeats, FLOSS).strings])
    return [design for design in found if all(any(counts) for counts in design)]


class Look(NamedTuple):
    """How good a cut list is after some pieces.

    `error` is how far its strings are off what they take on an average day, added up, as a share of all; `margin` the
    spare as a share of the needs; `short` the share of strings that run short.
    """

    after: int
    error: float
    margin: float
    short: float


class Outcome(NamedTuple):
    """What became of makers: the looks, the strings knotted and those that ran short, mistaken entries and tensions."""

    looks: list[Look]
    strings: int
    short: int
    mistakes: int
    tensions: list[float]


def followed(
    makers: int,
    pieces: int,
    world: World,
    seed: int,
    *,
    after: Sequence[int] = AFTER,
    every: bool = True,
    tried: int = NEXT,
) -> Outcome:
    """Follows makers through their pieces, each cut by what was learned from those before.

    Without `every`, a maker's gauge is learned only where it is looked at. Each look is on `tried` designs.
    """
    chance = Random(seed)
    shelf = designs()
    looks: list[Look] = []
    strings = short = mistakes = 0
    tensions: list[float] = []
    for _ in range(makers):
        maker = Maker(chance, world)
        entered: list[list[Used]] = []
        estimate = Estimate()
        for done in range(pieces + 1):
            if done in after or every:
                estimate = _estimate(entered)
            if done in after:
                looks += _looks(maker, estimate, done, chance.choices(shelf, k=tried))
            if done < pieces:
                design = chance.choice(shelf)
                took = maker.knots(design)
                strings += len(design)
                short += _short(design, took, estimate)
                entered.append(maker.enters(design, took, estimate))
        mistakes += maker.mistakes
        tensions += maker.tensions
    return Outcome(looks, strings, short, mistakes, tensions)


def _estimate(entered: Sequence[Sequence[Used]]) -> Estimate:
    if not entered:
        return Estimate()
    found = learned(FLOSS, entered)
    return Estimate(found.gauge, found)


def _short(design: Design, took: Sequence[float], estimate: Estimate) -> int:
    return sum(
        mm > estimate.needs_mm(counts) + estimate.spare_mm(counts) for counts, mm in zip(design, took, strict=True)
    )


def _looks(maker: Maker, estimate: Estimate, done: int, designs: Sequence[Design]) -> Iterator[Look]:
    for design in designs:
        needs = [estimate.needs_mm(counts) for counts in design]
        true = [maker.expected(counts) for counts in design]
        error = sum(abs(one - other) for one, other in zip(needs, true, strict=True)) / sum(true)
        margin = sum(map(estimate.spare_mm, design)) / sum(needs)
        yield Look(done, error, margin, _short(design, maker.knots(design), estimate) / len(design))


def table(outcome: Outcome) -> str:
    """The looks as a table: a line for each count of pieces."""
    lines = ["pieces  error, mean  error, 95 %  margin  run short"]
    for after in AFTER:
        own = [look for look in outcome.looks if look.after == after]
        if own:
            errors = [look.error for look in own]
            lines.append(
                f"{after:6}  {mean(errors):10.1%}  {p95(errors):11.1%}  {mean(look.margin for look in own):6.1%}"
                f"  {mean(look.short for look in own):9.2%}"
            )
    return "\n".join(lines)


GROWTH = 10.0
"""The limit for learning from ten times as many pieces, as a multiple: it may grow with them, not faster."""


def speed(sizes: Sequence[int] = (10, 100, 1000), runs: int = 5) -> list[Row]:
    """How long learning from so many pieces takes, that of the fastest run, each size compared with the one before."""
    maker = Maker(Random(2), World())
    shelf = [design for design in designs() if len(design) <= 8]
    rows: list[Row] = []
    before: float | None = None
    for size in sizes:
        bands = [shelf[number % len(shelf)] for number in range(size)]
        entered = [maker.enters(design, maker.knots(design), Estimate()) for design in bands]
        took = 1000 * min(_seconds(entered) for _ in range(runs))
        limit = None if before is None else GROWTH
        rows.append(Row("learning from pieces", f"{size:,}", "ms", took, before, limit))
        before = took
    return rows


def _seconds(entered: Sequence[Sequence[Used]]) -> float:
    began = time.process_time()
    learned(FLOSS, entered)
    return time.process_time() - began


def main(arguments: Sequence[str] | None = None) -> int:
    """Prints how good cut lists are after some pieces, and how many strings ran short in all of them."""
    parser = argparse.ArgumentParser(prog="python -m tests.measure.makers", description=__doc__)
    parser.add_argument("--makers", type=int, default=50, help="how many makers (default: 50)")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--others", action="store_true", help="also other noise and tension")
    options = parser.parse_args(arguments)
    print(as_text(speed()) + "\n")
    worlds = [World()]
    if options.others:
        worlds += [World(noise, tension) for noise in (0.02, 0.06) for tension in (0.02, 0.06)]
    print(
        "Error: how far the strings of the next design are off what they take on an average day, added up, as a share "
        f"of all;\nmean and 95 % over {options.makers} makers with {NEXT} designs each. Margin: the spare as a share "
        "of the needs.\nRun short: strings that need more than their needs and their spare."
    )
    for world in worlds:
        outcome = followed(options.makers, AFTER[-1], world, options.seed)
        pieces = options.makers * AFTER[-1]
        print(f"\nNoise {world.noise:.0%}, tension {world.tension:.0%}, mistaken 1 in {1 / world.mistaken:.0f}")
        print(table(outcome))
        print(
            f"In {pieces} pieces with {outcome.strings} strings {outcome.short} ran short "
            f"({outcome.short / outcome.strings:.2%}); {outcome.mistakes} entries were mistaken."
        )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
