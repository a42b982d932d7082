"""Charts of four sorts, as long and as wide as wanted, that differ in how the ways of their strings hang together."""

from collections.abc import Callable
from random import Random
from typing import NamedTuple

from tests.measure.pieces import TOKENS, band

MIRRORED = {"f": "b", "b": "f", "fb": "bf", "bf": "fb"}
PATCH_ROWS, PATCH_PAIRS = 10, 4
"""How many rows a patch of one knot is long, and how many pairs wide."""
BLOCK = 8
"""How many rows of a periodic chart are a block."""

Rows = list[list[str]]


class Size(NamedTuple):
    """How many strings a chart has, and how many rows."""

    strings: int
    rows: int

    def __str__(self) -> str:
        return f"{self.strings}x{self.rows}"


def any_knots(size: Size, chance: Random) -> Rows:
    """Any knot everywhere."""
    return [[chance.choice(TOKENS) for _ in range(_pairs(size, at))] for at in range(size.rows)]


def mirrored(size: Size, chance: Random) -> Rows:
    """The right half is the mirror image of the left; a pair in the very middle has any knot."""
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
    """A block of any knots, again and again."""
    block = any_knots(Size(size.strings, BLOCK), chance)
    return [block[at % BLOCK] for at in range(size.rows)]


SORTS: dict[str, Callable[[Size, Random], Rows]] = {
    "mirrored": mirrored,
    "random": any_knots,
    "patchy": patchy,
    "periodic": periodic,
}


def rows_of(sort: str, size: Size, seed: int = 1) -> list[str]:
    """The rows of a chart of this sort as they are written, starting at positions 1, 2, 1, …, without any gaps."""
    chance = Random(f"{sort} {size} {seed}")
    return [" ".join(row) for row in SORTS[sort](size, chance)]


def design_of(sort: str, size: Size, seed: int = 1) -> str:
    """The text of a design with such a chart."""
    head, rows, _ = band(f"A {sort} band", size.strings, knots=1).partition("rows:\n")
    return head + rows + "".join(f'  - "{row}"\n' for row in rows_of(sort, size, seed))


def _pairs(size: Size, at: int) -> int:
    return (size.strings - at % 2) // 2
