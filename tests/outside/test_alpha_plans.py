"""The plan of leading strings against an exhaustive search, a matching, an assignment, a flow and a solver.

Stretches and floats are constructed here once more from their definition: a string hangs at the side its last knot went
to, and is wanted at the side where the next one begins.
"""

import json
import random
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from math import hypot, inf
from pathlib import Path
from typing import NamedTuple

import networkx
import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp
from scipy.sparse import lil_array

from benchmate.craft.design import work_for
from benchmate.craft.float_rules import USUAL, FloatRules
from benchmate.design_files.load import load
from benchmate.families.alpha.body import Alpha, alpha
from benchmate.families.alpha.work import AlphaWork
from tests.loaded import run

WIDE, HIGH = 2.45, 1.9
"""The width of a knot and the height of a row, mm."""
BEGUN = {
    **{"knot-by-knot": 8, "street-at-dusk": 20, "fish-both-ways": 8, "snails-after-rain": 10, "tea-on-the-sill": 14},
    **{"bud-and-leaf": 13, "cherries-by-the-pair": 12, "stepped-patches": 10},
}
"""The fewest leading strings of the shipped pictures."""


class Run(NamedTuple):
    """A stretch: its colour, how many knots, and the row and the side from the left where it begins and ends."""

    colour: str
    knots: int
    begins: tuple[int, int]
    ends: tuple[int, int]


def runs(body: Alpha, repeats: int = 1) -> list[Run]:
    """The stretches of a band, from its chart."""
    found: list[Run] = []
    for at, colours in enumerate(body.rows * repeats):
        right = (body.first == "left") == (at % 2 == 0)
        for column in range(body.columns) if right else reversed(range(body.columns)):
            before, after = ((at, column), (at, column + 1)) if right else ((at, column + 1), (at, column))
            if found and found[-1].colour == colours[column]:
                found[-1] = found[-1]._replace(knots=found[-1].knots + 1, ends=after)
            else:
                found.append(Run(colours[column], 1, before, after))
    return found


def floats(found: list[Run], rules: FloatRules) -> dict[tuple[int, int], float]:
    """The length of every float that the rules allow, by the numbers of its two stretches."""
    lengths = {}
    for later, there in enumerate(found):
        for earlier, here in enumerate(found[:later]):
            risen, across = there.begins[0] - here.ends[0], abs(there.begins[1] - here.ends[1])
            if here.colour == there.colour and across <= rules.columns and risen - 1 <= rules.rows:
                lengths[earlier, later] = hypot(across * WIDE, risen * HIGH)
    return lengths


def fewest(found: list[Run], rules: FloatRules) -> tuple[int, float]:
    """The fewest strings and the least thread in floats, from trying everything."""
    lengths, most = floats(found, rules), inf if rules.hang is None else rules.hang

    @cache
    def rest(at: int, waiting: frozenset[int]) -> tuple[float, float]:
        if at == len(found):
            return (0, 0) if not waiting else (inf, inf)
        best = (inf, inf)
        for string in (None, *(each for each in waiting if (each, at) in lengths)):
            left = waiting - {string}
            if len(left) >= most:
                continue
            begun, thread = (1, 0.0) if string is None else (0, lengths[string, at])
            for still in (left, left | {at}):
                more, longer = rest(at + 1, still)
                best = min(best, (begun + more, thread + longer))
        return best

    begun, thread = rest(0, frozenset())
    return int(begun), thread


def planned(body: Alpha, repeats: int, rules: FloatRules) -> tuple[int, float]:
    """What the plan of a band takes. It is checked here that its strings can be worked as it says."""
    work = AlphaWork(body._replace(rules=rules), repeats)
    found, plan = runs(body, repeats), work.plan
    lengths = floats(found, rules)
    strings: dict[int, list[int]] = {}
    first = 0
    for at, each in enumerate(found):
        own = {plan.leading(number) for number in range(first, first + each.knots)}
        assert len(own) == 1
        strings.setdefault(max(own), []).append(at)
        taken = plan.pick_up(first)
        assert taken is not None
        assert (taken.float is None) == (strings[max(own)][0] == at)
        assert all(plan.pick_up(number) is None for number in range(first + 1, first + each.knots))
        first += each.knots
    assert list(strings) == list(range(1, len(strings) + 1)), "numbered in the order of first use"
    pairs = [pair for own in strings.values() for pair in pairwise(own)]
    assert set(pairs) <= set(lengths)
    hang = max(sum(own[0] <= at <= own[-1] for own in strings.values()) for at in range(len(found)))
    assert plan.hang == hang <= (rules.hang or hang)
    assert sorted(each.length(rules) for each in plan.floats) == pytest.approx(sorted(lengths[pair] for pair in pairs))
    return len(strings), sum(lengths[pair] for pair in pairs)


def small_charts(count: int) -> Iterator[tuple[Alpha, int, FloatRules]]:
    """Small bands of up to three colours, with rules from none allowed to the usual ones."""
    chance = random.Random(20)
    for _ in range(count):
        columns, rows, colours = chance.randint(1, 7), chance.randint(1, 5), chance.randint(1, 3)
        chart = tuple(tuple(chance.choice("abc"[:colours]) for _ in range(columns)) for _ in range(rows))
        rules = chance.choice([USUAL, FloatRules(0, 0), FloatRules(1, 2), FloatRules(3, 0), FloatRules(2, 1)])
        yield alpha("a", chart, chance.choice(("left", "right"))), chance.randint(1, 2), rules


def test_the_plan_has_the_fewest_strings_and_then_the_least_thread() -> None:
    tried = 0
    for body, repeats, rules in small_charts(700):
        found = runs(body, repeats)
        if len(found) <= 11:
            assert planned(body, repeats, rules) == pytest.approx(fewest(found, rules))
            tried += 1
    assert tried > 300


def test_with_few_strings_hanging_too() -> None:
    limited = 0
    for body, repeats, rules in small_charts(300):
        found = runs(body, repeats)
        if len(found) <= 11:
            free, _ = planned(body, repeats, rules)
            for hang in (1, 2, 3):
                begun, thread = planned(body, repeats, rules._replace(hang=hang))
                assert (begun, thread) == pytest.approx(fewest(found, rules._replace(hang=hang)))
                limited += begun > free
    assert limited > 50


def shipped(name: str) -> tuple[Alpha, int]:
    design = load(name).design
    assert isinstance(design.body, Alpha)
    return design.body, design.repeats


def by_assignment(found: list[Run], lengths: dict[tuple[int, int], float]) -> tuple[int, float]:
    """The fewest strings by a matching, and the least thread in floats by an assignment, colour by colour."""
    begun = thread = 0.0
    for colour in {each.colour for each in found}:
        own = {at: place for place, at in enumerate(at for at, each in enumerate(found) if each.colour == colour)}
        joined = {pair: length for pair, length in lengths.items() if found[pair[0]].colour == colour}
        graph = networkx.Graph()
        graph.add_nodes_from([("ends", at) for at in own], bipartite=0)
        graph.add_edges_from((("ends", one), ("begins", other)) for one, other in joined)
        matched = networkx.bipartite.hopcroft_karp_matching(graph, [("ends", at) for at in own])
        begun += len(own) - len(matched) // 2
        # Each stretch follows another or begins a string of its own, at a price above all thread.
        price = np.full((len(own), 2 * len(own)), np.inf)
        price[np.arange(len(own)), len(own) + np.arange(len(own))] = 1e6
        for (one, other), length in joined.items():
            price[own[other], own[one]] = length
        thread += price[linear_sum_assignment(price)].sum() % 1e6
    return int(begun), thread


@pytest.mark.parametrize("name", BEGUN)
def test_shipped_pictures_against_a_matching_an_assignment_and_a_flow(name: str) -> None:
    body, repeats = shipped(name)
    found = runs(body, repeats)
    lengths = floats(found, USUAL)
    begun, thread = by_assignment(found, lengths)
    assert begun == BEGUN[name]
    assert planned(body, repeats, USUAL) == pytest.approx((begun, thread))
    flow = networkx.DiGraph()
    flow.add_node("from", demand=-len(found))
    flow.add_node("to", demand=len(found))
    for at in range(len(found)):
        flow.add_edge("from", ("ends", at), capacity=1, weight=0)
        flow.add_edge("from", ("begins", at), capacity=1, weight=10**9)
        flow.add_edge(("begins", at), "to", capacity=1, weight=0)
    for (one, other), length in lengths.items():
        flow.add_edge(("ends", one), ("begins", other), capacity=1, weight=round(10**4 * length))
    assert networkx.min_cost_flow_cost(flow) / 10**9 == pytest.approx(begun + thread / 10**5, abs=1e-7)


@pytest.mark.parametrize(
    ("columns", "rows", "colours"), [(30, 24, "ab"), (24, 30, "abc"), (12, 70, "abcde"), (90, 8, "ab")]
)
def test_pictures_of_single_knots_against_an_assignment(columns: int, rows: int, colours: str) -> None:
    chance = random.Random(columns)
    chart = tuple(tuple(chance.choice(colours) for _ in range(columns)) for _ in range(rows))
    for rules in (USUAL, FloatRules(2, 1)):
        body = alpha("a", chart, chance.choice(("left", "right")))
        found = runs(body)
        assert planned(body, 1, rules) == pytest.approx(by_assignment(found, floats(found, rules)))


@pytest.mark.parametrize(("name", "hang"), [("knot-by-knot", 4), ("tea-on-the-sill", 2), ("street-at-dusk", 5)])
def test_shipped_pictures_with_few_hanging_against_a_solver(name: str, hang: int) -> None:
    body, repeats = shipped(name)
    found = runs(body, repeats)
    lengths = floats(found, USUAL)
    # At most one float from a stretch, one to it, and so many over it that its own string is one of `hang`.
    limits = lil_array((3 * len(found), len(lengths)))
    for at, (one, other) in enumerate(lengths):
        limits[one, at] = limits[len(found) + other, at] = 1
        for between in range(one + 1, other):
            limits[2 * len(found) + between, at] = 1
    most = np.concatenate([np.ones(2 * len(found)), np.full(len(found), hang - 1)])
    prices = np.array(list(lengths.values())) - 1e4
    solved = milp(
        prices,
        integrality=np.ones(len(lengths)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(limits.tocsr(), -np.inf, most),
    )
    assert solved.success
    used = np.round(solved.x)
    begun, thread = planned(body, repeats, USUAL._replace(hang=hang))
    assert begun == len(found) - used.sum() > BEGUN[name]
    assert thread == pytest.approx((used * list(lengths.values())).sum())


def test_a_float_passes_its_own_column_where_the_row_has_turned() -> None:
    # In row 1, to the right, b ends at the right of column 2. Row 2 goes to the left, and b begins at the right of
    # column 7: the string passes columns 3 to 7. These are five columns; in the chart of one column more it is cut.
    for columns, begun in ((7, 1), (8, 2)):
        first, second = "ab" + "a" * (columns - 2), "a" * (columns - 1) + "b"
        body = alpha("a", (tuple(first), tuple(second)))
        plan = AlphaWork(body, 1).plan
        taken = plan.pick_up(columns)
        assert taken is not None
        if begun == 1:
            assert taken.float is not None
            assert (taken.float.columns, taken.float.rows, taken.float.risen) == (5, 0, 1)
        else:
            assert taken.float is None
        assert plan.strings == 1 + begun


def test_order_tells_the_plan(tmp_path: Path) -> None:
    plan_of = work_for(load("knot-by-knot").design)
    assert isinstance(plan_of, AlphaWork)
    steps = json.loads(run("order", "knot-by-knot", "--json", home=tmp_path).out)["steps"]
    assert [step["leading"] for step in steps] == [plan_of.plan.leading(number) for number in range(plan_of.size)]
    assert max(step["leading"] for step in steps) == 8
    few = json.loads(run("order", "knot-by-knot", "--json", "--hang", "4", home=tmp_path).out)["steps"]
    assert max(step["leading"] for step in few) > 8
    short = json.loads(run("order", "knot-by-knot", "--json", "--float-columns", "0", home=tmp_path).out)["steps"]
    assert max(step["leading"] for step in short) > 8
