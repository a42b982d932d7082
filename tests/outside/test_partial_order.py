"""The partial order against networkx, on a graph built from the definition: two knots that share a string."""

from itertools import combinations
from random import Random
from typing import Any

import networkx as nx
import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.families.diagonal.body import Diagonal, Row
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import DIFFERENT, TOKENS, random_chart, trace

Chart = tuple[Diagonal, int]


def some_chart(seed: int) -> Chart:
    """All kinds of knots, gaps and starts; odd and even numbers of strings; one to three repeats."""
    chance = Random(seed)
    return random_chart(chance, chance.randint(2, 9), chance.randint(1, 7)), chance.randint(1, 3)


def by_definition(body: Diagonal, repeats: int) -> Any:
    """An arrow from each knot to every later one that shares a string with it."""
    knots = trace(body, repeats)
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(knots)))
    for (one, below), (other, above) in combinations(enumerate(knots), 2):
        if {below.knotting, below.passive} & {above.knotting, above.passive}:
            graph.add_edge(one, other)
    return graph


def by_craft(band: DiagonalWork) -> Any:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(band.size))
    graph.add_edges_from((below, number) for number in range(band.size) for below in band.rests_on(number))
    return graph


def edges(graph: Any) -> set[tuple[int, int]]:
    return set(graph.edges)


@pytest.mark.parametrize("seed", range(40))
def test_the_partial_order_is_that_of_the_shared_strings(seed: int) -> None:
    body, repeats = some_chart(seed)
    band, reference = DiagonalWork(body, repeats), by_definition(body, repeats)
    ours = by_craft(band)
    assert edges(nx.transitive_closure(ours)) == edges(nx.transitive_closure(reference))
    assert edges(nx.transitive_reduction(ours)) == edges(nx.transitive_reduction(reference))
    assert edges(ours) == {(number, above) for number in range(band.size) for above in band.carries(number)}
    assert edges(ours) <= edges(reference)


@pytest.mark.parametrize("seed", range(40))
def test_by_rows_is_the_first_topological_order(seed: int) -> None:
    body, repeats = some_chart(seed)
    sequence = list(by_rows(DiagonalWork(body, repeats)).sequence)
    assert list(nx.lexicographical_topological_sort(by_definition(body, repeats))) == sequence


@pytest.mark.parametrize("seed", range(20))
def test_steps_to_untie_are_the_tied_descendants(seed: int) -> None:
    body, repeats = some_chart(seed)
    band, reference = DiagonalWork(body, repeats), by_definition(body, repeats)
    order = by_rows(band)
    for done in {band.size, band.size // 2}:
        progress = Progress.resume(band, order, order.sequence[:done])
        for number in range(done):
            tied = {other for other in nx.descendants(reference, number) if other < done}
            out = progress.must_come_out(number)
            assert set(out) == tied | {number}
            assert list(nx.lexicographical_topological_sort(reference.subgraph(out))) == out[::-1]


@pytest.mark.parametrize("strings", range(3, 10))
def test_rows_of_full_charts_are_the_layers(strings: int) -> None:
    # Cartier & Foata 1969; X. G. Viennot, Heaps of pieces I. Whatever the knots, as none is left out.
    chance = Random(strings)
    rows = tuple(
        Row(start, tuple(chance.choice(list(Knot)) for _ in range(start, strings, 2))) for start in (1, 2, 1, 2, 1, 2)
    )
    body = Diagonal(DIFFERENT[:strings], rows)
    band = DiagonalWork(body, 2)
    layers = [sorted(layer) for layer in nx.topological_generations(by_definition(body, 2))]
    assert layers == [list(range(*band.span(number))) for number in range(1, band.rows + 1)]


def test_the_charts_tried_are_of_every_kind() -> None:
    tried = [some_chart(seed)[0] for seed in range(40)]
    assert {knot for body in tried for each in body.rows for knot in each.knots} == set(TOKENS)
    assert {len(body.strings) % 2 for body in tried} == {0, 1}
    assert any(each.start > 2 for body in tried for each in body.rows)
