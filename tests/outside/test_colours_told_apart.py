"""The choice of terminal colours against a constraint solver, and an assignment against scipy."""

from itertools import combinations, product
from random import Random

import numpy as np
import pytest
from ortools.sat.python import cp_model
from scipy.optimize import linear_sum_assignment

from benchmate.craft.colours.apart import ENOUGH, told_apart
from benchmate.craft.colours.colour_difference import ciede2000, difference, lab
from benchmate.craft.colours.few_to_choose import assigned
from benchmate.craft.colours.terminal_colours import ColourDepth

FINE = 10**6
"""Costs are whole numbers for the solver: millionths."""


def cost(own: str, shown: str) -> int:
    """How far a thread is shown from its own colour; lightness counts half."""
    return round(FINE * ciede2000(lab(own), lab(shown), kl=2))


def fewest(values: tuple[str, ...], choice: tuple[str, ...], enough: float) -> int | None:
    """The smallest sum of costs with all threads `enough` apart; None when they cannot be."""
    model = cp_model.CpModel()
    takes = [[model.new_bool_var("") for _ in choice] for _ in values]
    for mine in takes:
        model.add_exactly_one(mine)
    for at, mine in enumerate(takes):
        for other in takes[at + 1 :]:
            for (one, first), (two, second) in product(zip(choice, mine, strict=True), zip(choice, other, strict=True)):
                if one == two or difference(one, two) < enough:
                    model.add_at_most_one((first, second))
    model.minimize(
        sum(
            cost(own, each) * taken
            for own, mine in zip(values, takes, strict=True)
            for each, taken in zip(choice, mine, strict=True)
        )
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    return round(solver.objective_value) if status == cp_model.OPTIMAL else None


@pytest.mark.parametrize("seed", range(8))
def test_sixteen_colours(seed: int) -> None:
    random = Random(seed)
    count = 2 + seed % 6
    near = random.choice((8, 60, 255))
    start = [random.randrange(256) for _ in range(3)]
    values = tuple(
        "#" + "".join(f"{min(255, max(0, level + random.randint(-near, near))):02x}" for level in start)
        for _ in range(count)
    )
    depth = ColourDepth(16)
    shown = [value for value, _ in told_apart(values, depth)]
    ours = sum(map(cost, values, shown))
    pairs = {difference(one, two) for one, two in combinations(depth.choice, 2)}
    for enough in (ENOUGH[16], *sorted((each for each in pairs if each < ENOUGH[16]), reverse=True)):
        best = fewest(values, depth.choice, enough)
        if best is not None:
            break
    assert min(difference(one, two) for one, two in combinations(shown, 2)) >= enough
    assert ours == pytest.approx(best, abs=count)


@pytest.mark.parametrize("seed", range(40))
def test_assignment(seed: int) -> None:
    random = Random(seed)
    rows = random.randint(1, 12)
    columns = rows + random.randint(0, 6)
    costs = [[random.choice((random.random(), random.randint(0, 3))) for _ in range(columns)] for _ in range(rows)]
    total, taken = assigned(costs)
    assert len(set(taken)) == rows
    assert sum(costs[row][column] for row, column in enumerate(taken)) == pytest.approx(total)
    matrix = np.array(costs)
    assert total == pytest.approx(matrix[linear_sum_assignment(matrix)].sum())
