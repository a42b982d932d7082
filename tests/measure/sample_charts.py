"""Sample charts of any size and four sorts, which differ in the patterns of their strings' paths."""

from collections.abc import Callable
from random import Random
from typing import NamedTuple

from tests.measure.pieces import TOKENS, band

MIRRORED = {"f": "b", "b": "f", "fb": "bf", "bf": "fb"}
PATCH_ROWS, PATCH_PAIRS = 10, 4
"""The rows and the pairs of a patch of one knot."""
BLOCK = 8
"""The rows of one block of a periodic chart."""

Rows = list[list[str]]


class Size(NamedTuple):
    """The number of strings and of rows of a chart."""

    strings: int
    rows: int

    def __str__(self) -> str:
        return f"{self.strings}x{self.rows}"


def any_knots(size: Size, chance: Random) -> Rows:
    """A random knot at every pair."""
    return [[chance.choice(TOKENS) for _ in range(_pairs(size, at))] for at in range(size.rows)]


def mirrored(size: Size, chance: Random) -> Rows:
    """The right half mirrors the left; a pair in the middle has a random knot."""
    rows = any_knots(size, chance)
    for row in rows:
        for at in range(len(row) // 2):
            row[-1 - at] = MIRRORED[row[at]]
    return rows


def patchy(size: Size, chance: Random) -> Rows:
    """Patches of one knot each."""
    across = range(0, size.strings, PATCH_PAIRS)
    patches = [[chance.choice(TOKENS) for _ in across] for _ in range(0, size.rows, PATCH_ROWS)]
    return [
        [patches[at // PATCH_ROWS][pair // PATCH_PAIRS] for pair in range(_pairs(size, at))] for at in range(size.rows)
    ]


def periodic(size: Size, chance: Random) -> Rows:
    """A block of random knots, repeated."""
    block = any_knots(Size(size.strings, BLOCK), chance)
    return [block[at % BLOCK] for at in range(size.rows)]


SORTS: dict[str, Callable[[Size, Random], Rows]] = {
    "mirrored": mirrored,
    "random": any_knots,
    "patchy": patchy,
    "periodic": periodic,
}


def rows_of(sort: str, size: Size, seed: int = 1) -> list[str]:
    """The written rows of a chart of this sort, starting at positions 1, 2, 1, …, without gaps."""
    chance = Random(f"{sort} {size} {seed}")
    return [" ".join(row) for row in SORTS[sort](size, chance)]


def design_of(sort: str, size: Size, seed: int = 1) -> str:
    """The text of a design with such a chart."""
    head, rows, _ = band(f"A {sort} band", size.strings, knots=1).partition("rows:\n")
    return head + rows + "".join(f'  - "{row}"\n' for row in rows_of(sort, size, seed))


def _pairs(size: Size, at: int) -> int:
    return (size.strings - at % 2) // 2
