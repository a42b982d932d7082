"""Branching among fillings against a search that tries them all."""

from random import Random

import pytest

from benchmate.craft.thread.packing.best import Search
from benchmate.craft.thread.packing.bounds import ends_where_all_end
from benchmate.craft.thread.packing.branching import Branching
from benchmate.craft.thread.packing.columns import SCALE, Columns, Duals, aim_at_ends
from benchmate.craft.thread.packing.covering import Cover, fillings, room_to_leave
from benchmate.craft.thread.packing.problem import Problem, Stock


@pytest.mark.parametrize("seed", range(12))
def test_branching_finds_the_least_that_trying_all_finds(seed: int) -> None:
    chance = Random(seed)
    sizes = sorted(chance.sample(range(8, 40), 5), reverse=True)
    demand = [chance.randint(1, 2) for _ in sizes]
    offcuts = [Stock(length, 1, 0) for length in sorted(chance.sample(range(20, 90), 4))]
    problem = Problem(sizes, demand, [*offcuts, Stock(100, sum(demand), 1)], 1, 25)
    fewest = Search(problem).best().opened
    aim = aim_at_ends(problem, fewest)
    duals = Duals((0,) * 5, (0,) * 5, 0, 0, 0)
    most = 40
    found = fillings(problem, duals, aim, most * SCALE, room_to_leave(problem, fewest), 5000)
    assert found is not None
    tried = None
    for target in range(most + 1):
        bins = Cover(problem, aim, duals, target, found).search(None, lambda: None)
        if bins is not None:
            tried = target
            break
    branching = Branching(problem, aim, duals, most, found)
    best = branching.search(10**9, lambda: None)
    assert branching.settled
    assert (None if best is None else problem.cost(best).waste) == tried


@pytest.mark.parametrize("seed", range(6))
def test_the_parts_of_a_split_program_have_at_least_its_bound_and_one_holds_the_best(seed: int) -> None:
    chance = Random(seed)
    sizes = sorted(chance.sample(range(50, 250), 12), reverse=True)
    offcuts = [Stock(length, 1, 0) for length in sorted(chance.sample(range(600, 4000), 9))]
    problem = Problem(sizes, [1] * 12, [*offcuts, Stock(8000, 12, 1)], 10, 300)
    best = Search(problem).best()
    assert (best.opened, best.waste) == (best.least_opened, best.least_waste)
    columns = Columns(problem, aim_at_ends(problem, best.opened))
    columns.add(best.bins)
    whole = columns.improve(10**9, best.waste + 1, lambda: None)
    parts = [part.improve(10**9, best.waste + 1, lambda: None) for part in columns.split()]
    assert whole.least <= best.waste
    assert min(part.least for part in parts) <= best.waste
    assert all(part.least >= whole.least for part in parts)


def test_where_every_source_has_a_short_end_all_that_is_left_is_lost() -> None:
    problem = Problem([5, 4], [1, 1], [Stock(60, 1, 0), Stock(45, 1, 0), Stock(100, 2, 1)], 10, 30)
    assert ends_where_all_end(problem, 0, 2) == 15
    assert ends_where_all_end(problem, 0, 1) == 0
