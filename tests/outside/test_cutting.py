"""Cutting against published instances, and against a mixed-integer program that is written another way."""

import json
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.cutting import Cutting, NotLongEnough, Source, cutting

DATA = json.loads((Path(__file__).parent / "data" / "cutting_stock_references.json").read_text(encoding="utf-8"))
"""Published instances with their optima, in the units they were published in."""


def cut(
    lengths: Sequence[float], skein: float, offcuts: Sequence[float] = (), scrap: float = 300, colour: str = "deep"
) -> Cutting:
    """The cutting of lengths of one colour, checked: no source beyond its length, each length once."""
    at_hand = {colour: [Source("offcut", mm, number) for number, mm in enumerate(offcuts)]}
    wanted = [Length(colour, (number,), mm) for number, mm in enumerate(lengths)]
    found = cutting(wanted, at_hand, skein_mm=skein, scrap_mm=scrap)
    check(found, lengths)
    return found


def check(found: Cutting, lengths: Sequence[float]) -> None:
    """What holds of every cutting."""
    assert sorted(index for source in found.sources for index in source.lengths) == [*range(len(lengths))]
    for source in found.sources:
        used = sum(lengths[index] for index in source.lengths)
        assert source.lengths
        assert 0 <= source.left_mm == pytest.approx(source.source.length_mm - used, abs=1e-6)
    offcuts = Counter(source.source.thread for source in found.sources if source.source.thread is not None)
    assert all(many == 1 for many in offcuts.values())
    assert found.least <= found.skeins == sum(source.source.kind == "skein" for source in found.sources)


def lost(found: Cutting, scrap: float = 300) -> float:
    """What is left in ends too short to use."""
    return sum(source.left_mm for source in found.sources if 0 < source.left_mm < scrap)


def first_fit_decreasing(lengths: Sequence[float], skein: float) -> int:
    """How many skeins a greedy cutting opens."""
    left: list[float] = []
    for length in sorted(lengths, reverse=True):
        for at, rest in enumerate(left):
            if rest >= length:
                left[at] -= length
                break
        else:
            left.append(skein - length)
    return len(left)


def test_the_instance_of_a_solvers_manual() -> None:
    given = DATA["ortools_doc"]
    found = cut([10 * item for item in given["items"]], 10 * given["capacity"])
    assert found.skeins == found.least == given["optimum"]


def test_one_where_a_greedy_cutting_opens_one_skein_more() -> None:
    given = DATA["falkenauer_u120_00"]
    lengths = [10 * item for item in given["items"]]
    assert first_fit_decreasing(lengths, 10 * given["capacity"]) == given["optimum"] + 1
    found = cut(lengths, 10 * given["capacity"])
    assert found.skeins == found.least == given["optimum"]


@pytest.mark.parametrize("name", ["paper_rolls_5600", "gams_cutstock"])
def test_hundreds_of_lengths_of_a_few_kinds(name: str) -> None:
    given = DATA[name]
    lengths = [10 * width for width, many in zip(given["widths"], given["demand"], strict=True) for _ in range(many)]
    found = cut(lengths, 10 * given["capacity"])
    assert found.least <= given["optimum"] <= found.skeins
    assert found.skeins == given["optimum"], "no proof is asked for, but it is found"


def reference(lengths: Sequence[int], skein: int, offcuts: Sequence[int], scrap: int) -> tuple[int, int] | None:
    """The fewest skeins, then the least lost, by a mixed-integer program of lengths assigned to sources.

    For every source: whether it is cut into, whether its end is long enough to use, and what is lost.
    """
    most = len(lengths)
    capacity = [*offcuts, *([skein] * most)]
    pieces, sources = len(lengths), len(capacity)
    used, long, loss = (pieces * sources + sources * part for part in range(3))
    size = pieces * sources + 3 * sources
    rows: list[np.ndarray] = []
    low: list[float] = []
    high: list[float] = []

    def add(entries: dict[int, float], least: float, greatest: float) -> None:
        row = np.zeros(size)
        for column, value in entries.items():
            row[column] = value
        rows.append(row)
        low.append(least)
        high.append(greatest)

    for piece in range(pieces):
        add({piece * sources + source: 1 for source in range(sources)}, 1, 1)
    for source, room in enumerate(capacity):
        inside = {piece * sources + source: float(length) for piece, length in enumerate(lengths)}
        add({**inside, used + source: -room}, -np.inf, 0)
        # An end that is long enough loses nothing; any other loses all that is left.
        add({**inside, long + source: min(scrap, room + 1), used + source: -room}, -np.inf, 0)
        left = {column: -value for column, value in inside.items()}
        add({**left, used + source: room, long + source: -room, loss + source: -1}, -np.inf, 0)
    bounds = Bounds(np.zeros(size), np.concatenate([np.ones(loss), np.full(sources, np.inf)]))
    integrality = np.concatenate([np.ones(loss), np.zeros(sources)])
    opened = np.zeros(size)
    opened[used + len(offcuts) : used + sources] = 1
    first = milp(
        opened, constraints=LinearConstraint(np.array(rows), low, high), bounds=bounds, integrality=integrality
    )
    if first.status == 2:
        return None
    assert first.status == 0, first.message
    fewest = round(first.fun)
    add({used + source: 1 for source in range(len(offcuts), sources)}, fewest, fewest)
    wasted = np.zeros(size)
    wasted[loss:] = 1
    second = milp(
        wasted, constraints=LinearConstraint(np.array(rows), low, high), bounds=bounds, integrality=integrality
    )
    assert second.status == 0, second.message
    return fewest, round(second.fun)


def small_instance(seed: int) -> tuple[list[int], int, list[int], int]:
    """A few lengths, a skein that may be too short for some, offcuts of which some just fit, and a limit for ends."""
    chance = Random(seed)
    skein = chance.choice([1000, 1200, 2000])
    longest = chance.choice([skein // 2, skein, skein + 150])
    lengths = [10 * chance.randint(15, longest // 10) for _ in range(chance.randint(1, 7))]
    offcuts = [chance.randint(100, 1400) for _ in range(chance.randint(0, 3))]
    offcuts += [sum(chance.sample(lengths, min(2, len(lengths)))) for _ in range(chance.randint(0, 1))]
    return lengths, skein, offcuts, chance.choice([0, 90, 300])


@pytest.mark.parametrize("seed", range(24))
def test_a_mixed_integer_program_finds_none_better(seed: int) -> None:
    lengths, skein, offcuts, scrap = small_instance(seed)
    best = reference(lengths, skein, offcuts, scrap)
    if best is None:
        with pytest.raises(NotLongEnough) as missing:
            cut(lengths, skein, offcuts, scrap)
        assert lengths[missing.value.index] > skein
        return
    found = cut(lengths, skein, offcuts, scrap)
    fewest, least = best
    assert found.skeins == fewest
    assert lost(found, scrap) == least
    assert found.least == found.skeins
    assert found.best_ends
