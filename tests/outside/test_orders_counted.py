"""The number of orders of a chart against published numbers.

In these charts every two of n strings cross once. Such a chart sorts n strings by swaps of neighbours, and an order of
its knots is a reduced word of the reversal.
"""

from collections.abc import Iterator

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import hanging_after
from benchmate.families.diagonal.body import Diagonal, Row
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import DIFFERENT, all_below, full, slanted

Layers = tuple[tuple[int, ...], ...]


def orders_of(band: DiagonalWork) -> int:
    """The number of orders, from the number of ways to reach every closed set of knots."""
    below = all_below(band)
    ways = {0: 1}
    for _ in range(band.size):
        following: dict[int, int] = {}
        for tied, count in ways.items():
            for number in range(band.size):
                if not tied >> number & 1 and not below[number] & ~tied:
                    more = tied | 1 << number
                    following[more] = following.get(more, 0) + count
        ways = following
    assert list(ways) == [(1 << band.size) - 1]
    return ways[(1 << band.size) - 1]


def layers_of(band: DiagonalWork) -> int:
    """The length of the longest chain of knots, each resting on the one before."""
    height = [0] * band.size
    for number in range(band.size):
        height[number] = 1 + max((height[below] for below in band.rests_on(number)), default=0)
    return max(height)


def check_each_pair_crosses_once(band: DiagonalWork, strings: int) -> None:
    pairs = [{band.knotting(number), band.passive(number)} for number in range(band.size)]
    assert len(pairs) == len({frozenset(pair) for pair in pairs}) == strings * (strings - 1) // 2
    assert hanging_after(band, by_rows(band), range(band.size)) == list(range(strings, 0, -1))


@pytest.mark.parametrize(("strings", "orders"), [(3, 1), (4, 2), (5, 12), (6, 286), (7, 33592)])
def test_slanted_charts(strings: int, orders: int) -> None:
    # OEIS A003121: the number of standard shifted tableaux of the staircase. Layers 2n - 3: derived.
    band = DiagonalWork(slanted(strings, range(strings - 1, 0, -1)), 1)
    check_each_pair_crosses_once(band, strings)
    assert orders_of(band) == orders
    assert layers_of(band) == 2 * strings - 3


@pytest.mark.parametrize(("strings", "orders"), [(3, 1), (4, 4), (5, 70), (6, 7896), (7, 6648040)])
def test_full_alternating_rows(strings: int, orders: int) -> None:
    # Derived: counted over closed sets of the knots, these being linear extensions of the partial order.
    band = DiagonalWork(full(strings, strings), 1)
    check_each_pair_crosses_once(band, strings)
    assert orders_of(band) == orders
    assert layers_of(band) == strings


def all_charts(strings: int) -> Iterator[Layers]:
    """Every chart once, as layers of positions: each knot of a layer has a knot next to it in the layer before.

    This is the normal form (Cartier & Foata 1969). It ties only strings that have not crossed yet.
    """

    def further(hanging: list[int], layers: Layers) -> Iterator[Layers]:
        if hanging == sorted(hanging, reverse=True):
            yield layers
            return
        under = {near for left in layers[-1] for near in (left - 1, left, left + 1)} if layers else set(range(strings))
        free = [left for left in range(1, strings) if left in under and hanging[left - 1] < hanging[left]]
        for chosen in spread(free):
            after = list(hanging)
            for left in chosen:
                after[left - 1], after[left] = after[left], after[left - 1]
            yield from further(after, (*layers, chosen))

    yield from further(list(range(strings)), ())


def spread(positions: list[int], least: int = 0) -> Iterator[tuple[int, ...]]:
    """All choices of one or more positions without neighbours."""
    for at, left in enumerate(positions):
        if left >= least:
            yield (left,)
            for others in spread(positions[at + 1 :], left + 2):
                yield (left, *others)


def chart_of(strings: int, layers: Layers) -> Diagonal:
    """The chart with gaps; the odd and the even positions of a layer are separate rows with their own starts."""
    rows = []
    for layer in layers:
        for parity in (0, 1):
            lefts = [left for left in layer if left % 2 == parity]
            if lefts:
                pairs = range(lefts[0], strings, 2)
                rows.append(Row(lefts[0], tuple(Knot.FORWARD if left in lefts else None for left in pairs)))
    return Diagonal(DIFFERENT[:strings], tuple(rows))


@pytest.mark.parametrize(
    ("strings", "charts", "orders"), [(2, 1, 1), (3, 2, 2), (4, 8, 16), (5, 62, 768), (6, 908, 292864)]
)
def test_all_charts_have_all_orders(strings: int, charts: int, orders: int) -> None:
    # Charts: OEIS A006245. Orders: R. P. Stanley, "On the number of reduced decompositions of elements of Coxeter
    # groups", 1984.
    found = [DiagonalWork(chart_of(strings, layers), 1) for layers in all_charts(strings)]
    for band in found:
        check_each_pair_crosses_once(band, strings)
    assert len(found) == charts
    assert sum(map(orders_of, found)) == orders
