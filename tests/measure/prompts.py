"""How long prompts take to say: all prompts of the shipped designs, the longest as the speech engine speaks them.

`python -m tests.measure.prompts` prints only this table: both ways of working, all presses, both namings of the knots.
"""

import re
from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from functools import partial
from itertools import product
from statistics import median
from typing import NamedTuple

from benchmate.craft.knots import NAMES
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.ways import Way, order_of
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt, sayable
from benchmate.craft.wording.spoken_length import SECONDS, at_most, seconds
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from benchmate.piece_opening import whole_of
from tests.measure.table import Row, as_text
from tests.reference_voice import Asked, lengths

PRESSES = ("knot", "run", "row")
RATE = 150
"""Words a minute."""
MOST = 50
"""How many prompts of each kind are spoken for the longest."""
FEW = ("tidewater-chevron", "bud-and-leaf", "mooring-line")
"""Designs with few steps, each with its start and finish."""
APART = 13
"""After so many presses the prompts of places come again, which differ in little but numbers."""


class Kind(NamedTuple):
    """Prompts of one kind: the level, the family of the step, and what one press counts."""

    level: Level
    family: str
    press: str


def prompts_of(whole: WholePiece, way: Way, level: Level, press: str, names: str) -> Iterator[tuple[str, str]]:
    """Every prompt of a piece from its first step to its last, each with the family of its step.

    After each press also what is said when it was undone. At every `APART`th press what is said at a resumed piece,
    after a jump there, and on the way to a wrong knot.
    """
    order = order_of(whole, way)
    progress = Progress(whole, order)
    said = partial(prompt, whole, progress, level=level, names=names)
    happened, tied, presses = Happened.RESUMED, list[int](), 0
    while progress.next is not None:
        family = whole.part_of(progress.next).design.family
        ahead = _ahead(progress, press if family.row_word else "knot")
        ahead = ahead[: sayable(whole, progress, ahead, level, names)]
        yield family.name, said(happened, tied, ahead=ahead)
        yield family.name, said(Happened.UNDONE, ahead[::-1], ahead=ahead)
        if presses % APART == 0:
            for fresh in (Happened.RESUMED, Happened.JUMPED, Happened.OUT):
                yield family.name, said(fresh, (), ahead=ahead)
            yield family.name, said(Happened.RESUMED, (), out=ahead[::-1])
            yield family.name, said(Happened.RESUMED, (), out=ahead[-1:] * APART)
        for number in ahead:
            progress.tie(number)
        happened, tied, presses = Happened.TIED, ahead, presses + 1


def _ahead(progress: Progress, press: str) -> list[int]:
    """The steps that one press counts by itself."""
    if press == "knot":
        return progress.coming(1)
    return progress.rest_of_run() if press == "run" else progress.rest_of_row()


def all_prompts(designs: Sequence[str], levels: Sequence[Level] = tuple(Level)) -> dict[Kind, set[str]]:
    """The different prompts of each kind, over these designs."""
    found: dict[Kind, set[str]] = defaultdict(set)
    for design in designs:
        file = load(design)
        for by in ("rows", "segments") if file.design.family.has_mirror_image else ("rows",):
            way = Way(by)
            # Two repeats have all the kinds of prompts that more have.
            whole = whole_of(file, min(2, file.design.repeats), way)
            for level, press, names in product(levels, PRESSES, NAMES):
                for family, words in prompts_of(whole, way, level, press, names):
                    found[Kind(level, family, press)].add(words)
    return found


def longest(prompts: Collection[str], most: int | None) -> list[str]:
    """The prompts likely to be the longest."""
    return sorted(prompts, key=lambda words: (at_most(words), words), reverse=True)[:most]


def measure(designs: Sequence[str], most: int | None) -> list[Row]:
    """Speaks the prompts of these designs; returns the rows of the table.

    `most` is how many of each kind are spoken for the longest; None for all. The median is that of the estimates, which
    are within a tenth of a second for most prompts.
    """
    found = all_prompts(designs)
    spoken = {kind: longest(said, most) for kind, said in found.items()}
    different = sorted(set().union(*spoken.values()))
    taken = dict(zip(different, lengths([Asked(words, RATE) for words in different]), strict=True))
    rows = []
    for kind in sorted(found, key=lambda kind: (list(Level).index(kind.level), kind.family, PRESSES.index(kind.press))):
        part, what = f"prompts, {kind.level.value}", f"{kind.family}, press {kind.press}"
        words = [count_words(words) for words in found[kind]]
        limit = SECONDS.get(kind.level)
        rows += [
            Row(part, f"{what}: median", "s", median(map(seconds, found[kind]))),
            Row(part, f"{what}: longest", "s", max(taken[words] for words in spoken[kind]), limit, limit and 1.0),
            Row(part, f"{what}: words, median", "", median(words)),
            Row(part, f"{what}: words, most", "", max(words)),
        ]
    return rows


def count_words(words: str) -> int:
    """The number of words as written: a name with a hyphen is two, a number one."""
    return len(re.findall(r"[\w']+", words))


if __name__ == "__main__":
    print(as_text(measure([*shipped()], MOST)))
