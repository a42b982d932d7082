"""Cutting 60 lengths of one colour: the slowest of each sort, against a fixed amount of reckoning, and the proofs."""

import time
from collections.abc import Callable, Sequence
from random import Random
from typing import NamedTuple

from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.cutting import Source, cutting
from benchmate.craft.thread.packing.best import PROVEN
from benchmate.craft.thread.packing.columns import Worth
from benchmate.craft.thread.packing.problem import Problem, Stock
from benchmate.craft.thread.usual import USUAL_SKEIN
from tests.measure.table import Row

TABLES = 100
"""The floor: so many tables of what the lengths in a skein are worth; a proof by columns needs about so many."""
MOST, MOST_ODD = 8.0, 24.0
"""The limit for the slowest, as a multiple of the floor; and where many offcuts fit nothing, and not all is proven."""


class Instance(NamedTuple):
    """Lengths of one colour and offcuts, mm."""

    lengths: list[int]
    offcuts: list[int]


def uniform(chance: Random) -> Instance:
    """Any length up to three eighths of a skein."""
    return Instance([chance.randrange(400, 3000, 10) for _ in range(PROVEN)], [])


def triplets(chance: Random) -> Instance:
    """Three lengths fill each skein to its end."""
    lengths: list[int] = []
    while len(lengths) < PROVEN:
        first, second = chance.randrange(3040, 3920, 10), chance.randrange(2000, 2500, 10)
        if 8000 - first - second >= 2000:
            lengths += [first, second, 8000 - first - second]
    return Instance(lengths, [])


def few_kinds(chance: Random) -> Instance:
    """A few lengths, of each many."""
    kinds = [chance.randrange(700, 4000, 10) for _ in range(chance.randint(3, 7))]
    return Instance([chance.choice(kinds) for _ in range(PROVEN)], [])


def bimodal(chance: Random) -> Instance:
    """Long ones, and short ones for the gaps."""
    spans = ((600, 1500), (2500, 4500))
    return Instance([chance.randrange(*chance.choice(spans), 10) for _ in range(PROVEN)], [])


def two_a_skein(chance: Random) -> Instance:
    """So long that hardly two fit in a skein."""
    return Instance([chance.randrange(3500, 4800, 10) for _ in range(PROVEN)], [])


def just_fitting(chance: Random) -> Instance:
    """Offcuts as long as one length or two, or hardly longer."""
    lengths = [chance.randrange(500, 2500, 10) for _ in range(PROVEN)]
    offcuts = [mm + chance.choice((0, 0, 10, 20)) for mm in chance.sample(lengths, 15)]
    return Instance(lengths, offcuts + [sum(chance.sample(lengths, 2)) for _ in range(8)])


def odd_offcuts(chance: Random) -> Instance:
    """Many offcuts of any length, that fit nothing."""
    lengths = [chance.randrange(500, 2500, 10) for _ in range(PROVEN)]
    return Instance(lengths, [chance.randrange(300, 4000) for _ in range(40)])


SORTS: dict[str, Callable[[Random], Instance]] = {
    "uniform": uniform,
    "triplets": triplets,
    "few kinds": few_kinds,
    "bimodal": bimodal,
    "two a skein": two_a_skein,
    "offcuts that just fit": just_fitting,
    "odd offcuts": odd_offcuts,
}


def measure(instances: int) -> list[Row]:
    """The slowest of so many instances of each sort, how many of them are proven best, and the floor."""
    rows: list[Row] = []
    for sort, made in SORTS.items():
        given = [made(Random(f"{sort} {number}")) for number in range(instances)]
        floor = min(_floor(each.lengths) for each in given)
        cut = [_cut(each) for each in given]
        slowest, proven = max(seconds for seconds, _ in cut), sum(best for _, best in cut)
        unit = f"s, {proven} of {instances} proven"
        most = MOST_ODD if made is odd_offcuts else MOST
        rows.append(Row("cut 60 lengths : tables", sort, unit, slowest, floor, most))
    return rows


def _cut(given: Instance) -> tuple[float, bool]:
    lengths = [Length("deep", (number,), float(mm)) for number, mm in enumerate(given.lengths)]
    at_hand = [Source("offcut", float(mm)) for mm in given.offcuts]
    began = time.perf_counter()
    found = cutting(lengths, {"deep": at_hand})
    seconds = time.perf_counter() - began
    assert found.skeins == found.least
    return seconds, found.best_ends


def _floor(lengths: Sequence[int]) -> float:
    sizes = sorted({mm // 10 for mm in lengths}, reverse=True)
    demand = [sum(mm // 10 == size for mm in lengths) for size in sizes]
    problem = Problem(sizes, demand, [Stock(int(USUAL_SKEIN) // 10, len(lengths), 1)], 1, 30)
    began = time.perf_counter()
    for _ in range(TABLES):
        assert Worth(problem, sizes).best
    return time.perf_counter() - began
