"""The fewest pick-ups against an exhaustive search and two solvers, each with its own formulation."""

from random import Random

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.orders import Order, by_segments, pickups
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.segments import fewest_pickups
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import TOKENS, chart, random_chart
from tests.charts import fewest_pickups as by_trying_all
from tests.measure.sample_charts import SORTS, Size, rows_of
from tests.outside.test_laws import FEWEST
from tests.references import NONE, Strings, by_mixed_integer, by_positions

SMALL, MIDDLE = (*range(80), 205), range(50)
"""Seeds; the last small one has no knot at all."""
MOST_KNOTS = 20
"""The most knots of a chart that the exhaustive search and CP-SAT solve at once."""
PATIENCE = 300.0
"""The time limit of CP-SAT in seconds; it needs a fraction of one."""

Chart = tuple[Diagonal, int]


def small(seed: int) -> Chart:
    """A small chart of all kinds of knots and starts, one to three repeats, usually close to the most knots."""
    chance = Random(f"small {seed}")
    least = 0 if seed % 5 == 0 else 12
    while True:
        body = random_chart(chance, chance.randint(2, 8), chance.randint(1, 12), tokens(seed))
        repeats = chance.choice((1, 1, 1, 2, 3))
        if least <= DiagonalWork(body, repeats).size <= MOST_KNOTS:
            return body, repeats


def middle(seed: int) -> Chart:
    """A chart of all kinds of knots and starts, one or two repeats, too large for an exhaustive search."""
    chance = Random(f"middle {seed}")
    body = random_chart(chance, chance.randint(8, 14), chance.randint(10, 40), tokens(seed))
    return body, chance.choice((1, 1, 1, 2))


def tokens(seed: int) -> list[Knot | None]:
    """All tokens; for every third chart only knots."""
    return TOKENS if seed % 3 else list(Knot)


def is_an_order(band: DiagonalWork, order: Order) -> bool:
    """True when every knot is there once, after all knots it rests on."""
    once = sorted(order.sequence) == list(range(band.size))
    place = {number: at for at, number in enumerate(order.sequence)}
    return once and all(place[below] < place[number] for number in place for below in band.rests_on(number))


def check_ours(band: DiagonalWork, references: dict[str, int]) -> None:
    """Checks that the references agree with one another, with our number and with our order."""
    order = by_segments(band)
    assert is_an_order(band, order)
    found = {"fewest_pickups": fewest_pickups(band), "by_segments": pickups(band, order), **references}
    assert len(set(found.values())) == 1, found


@pytest.mark.parametrize("seed", SMALL)
def test_small_charts(seed: int) -> None:
    band = DiagonalWork(*small(seed))
    check_ours(
        band,
        {"all orders": by_trying_all(band), "HiGHS": by_mixed_integer(band), "CP-SAT": by_positions(band, PATIENCE)},
    )


@pytest.mark.parametrize("seed", MIDDLE)
def test_middle_sized_charts(seed: int) -> None:
    band = DiagonalWork(*middle(seed))
    check_ours(band, {"HiGHS": by_mixed_integer(band)})


@pytest.mark.parametrize("size", [Size(25, 120), Size(40, 300)], ids=str)
@pytest.mark.parametrize("sort", SORTS)
def test_large_charts(sort: str, size: Size) -> None:
    band = DiagonalWork(chart(" ".join(["a"] * size.strings), *rows_of(sort, size)), 1)
    check_ours(band, {"HiGHS": by_mixed_integer(band, ahead=2 * size.strings)})


@pytest.mark.parametrize(("body", "row_order", "fewest"), FEWEST)
def test_the_solvers_find_the_known_numbers(body: Diagonal, row_order: int, fewest: int) -> None:
    # Derived, confirmed by exhaustive search. FEWEST is in the test of the laws, which checks our own number.
    band = DiagonalWork(body, 1)
    assert row_order > fewest == by_mixed_integer(band)
    assert band.size > MOST_KNOTS or by_positions(band, PATIENCE) == fewest
    assert is_an_order(band, by_segments(band))


@pytest.mark.parametrize("seed", MIDDLE[:20])
def test_the_reach_of_the_first_cycles_changes_no_result(seed: int) -> None:
    band = DiagonalWork(*middle(seed))
    within_reach = [by_mixed_integer(band, ahead) for ahead in (None, 10, 0, -band.size)]
    assert within_reach == within_reach[:1] * 4


def test_a_solver_without_a_proof_is_an_error() -> None:
    with pytest.raises(RuntimeError, match="nothing proven for 12 knots"):
        by_positions(DiagonalWork(chart(4, "f b", "f", "f b", "f", "f b", "f", "f b", "f"), 1), seconds=0.0)


def test_the_charts_tried_are_of_every_kind() -> None:
    for charts in ([small(seed) for seed in SMALL], [middle(seed) for seed in MIDDLE]):
        rows = [each for body, _ in charts for each in body.rows]
        assert {knot for each in rows for knot in each.knots} == set(TOKENS)
        assert any(each.start > 2 for each in rows)
        assert {len(body.strings) % 2 for body, _ in charts} == {0, 1}
        assert {repeats for _, repeats in charts} >= {1, 2}
    bands = [DiagonalWork(*small(seed)) for seed in SMALL]
    assert {band.size for band in bands} >= {0, 1, MOST_KNOTS}
    assert sum(fewest_pickups(band) > Strings(band).joins.count(NONE) for band in bands) > 25, "joins must be broken"
