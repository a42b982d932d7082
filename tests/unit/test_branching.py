"""Branching among fillings against a search that tries them all."""

from random import Random

import pytest

from benchmate.craft.thread.packing.best import Search
from benchmate.craft.thread.packing.branching import Branching
from benchmate.craft.thread.packing.columns import SCALE, Aim, Duals
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
    aim = Aim(fewest)
    duals = Duals((0,) * 5, (0,) * 5, 0, 0)
    most = 40
    found = fillings(problem, duals, aim, most * SCALE, room_to_leave(problem, fewest), 5000)
    assert found is not None
    tried = None
    for target in range(most + 1):
        bins = Cover(problem, aim, 0, target, found).search(None, lambda: None)
        if bins is not None:
            tried = target
            break
    branching = Branching(problem, aim, duals, most, found)
    best = branching.search(10**9, lambda: None)
    assert branching.settled
    assert (None if best is None else problem.cost(best).waste) == tried
