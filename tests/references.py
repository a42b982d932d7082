"""References for the fewest pick-ups: the same number from two solvers with two other formulations.

They share no code with the planner and read only the knotting and the passive string of each knot.
"""

from collections.abc import Iterable, Iterator, Sequence

from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from benchmate.craft.work import Work

NONE = -1

Cycle = frozenset[int]
"""The joins that a cycle runs back along; one of them must be broken."""


class Strings:
    """The next knots along the strings of a diagonal band, by number; `NONE` for none.

    `on_hand` is the next knot on the knotting string, `on_passive` that on the passive string, `joins` the knot before
    on the knotting string where that makes it too. A join goes by the number of its later knot.
    """

    def __init__(self, work: Work) -> None:
        makers = [work.knotting(number) for number in range(work.size)]
        self.on_hand, self.on_passive, self.joins = ([NONE] * work.size for _ in range(3))
        latest: dict[int, int] = {}
        for number, maker in enumerate(makers):
            for string in (maker, work.passive(number)):
                before = latest.get(string, NONE)
                if before != NONE:
                    (self.on_hand if makers[before] == string else self.on_passive)[before] = number
                    if makers[before] == string == maker:
                        self.joins[number] = before
                latest[string] = number


def by_mixed_integer(work: Work, ahead: int | None = None) -> int:
    """The fewest pick-ups of a diagonal band, by HiGHS: the fewest broken joins that leave no cycle.

    A join is two knots that follow one another on a string that makes both. Only they can be tied one right after the
    other in one pick-up, because a knot between them on the string comes between them in every order. Kept joins form
    runs; the pick-ups are the knots less the kept joins; an order with these runs exists exactly if the runs do not
    wait for one another in a cycle. A cycle runs forward along the strings and back along kept joins, and one of those
    must be broken: that is one constraint. The first constraints are a shortest cycle through each join; the loop adds
    the cycles that the solver leaves until none is left. Derived.

    The first cycles are looked for among the knots up to `ahead` beyond each join (None: without limit). That changes
    the time, not the result. Raises RuntimeError when the solver proves nothing.
    """
    strings = Strings(work)
    free = [NONE if _is_forced(strings, later) else before for later, before in enumerate(strings.joins)]
    cycles = set(_cycles(strings, free, range(work.size), ahead))
    while True:
        broken = _fewest_broken(cycles)
        kept = [NONE if later in broken else before for later, before in enumerate(free)]
        left = set(_cycles(strings, kept, _entangled(strings, kept), None))
        if not left:
            return kept.count(NONE)
        cycles |= left


def _is_forced(strings: Strings, later: int) -> bool:
    """True when this is a join and something comes between its two knots in every order."""
    before = strings.joins[later]
    if before == NONE or strings.on_passive[before] == later:
        return False
    seen, ways = {NONE}, [strings.on_passive[before]]
    while ways:
        number = ways.pop()
        if number == later:
            return True
        if number < later and number not in seen:
            seen.add(number)
            ways += (strings.on_hand[number], strings.on_passive[number])
    return False


def _runs(kept: Sequence[int]) -> list[int]:
    """For every knot the first knot of its run."""
    runs: list[int] = []
    for number, before in enumerate(kept):
        runs.append(number if before == NONE else runs[before])
    return runs


def _cycles(strings: Strings, kept: Sequence[int], through: Iterable[int], ahead: int | None) -> Iterator[Cycle]:
    """For each knot whose kept join lies on a cycle, the kept joins that a shortest cycle runs back along.

    Breadth first: a step forward costs nothing, a step back costs one. From the earlier knot of the join the path runs
    back within the join's own run, and leaves it forward only over a passive string, until it enters it again above: a
    path that stays inside the run is not a cycle.
    """
    runs = _runs(kept)
    out = [NONE if to == NONE or runs[to] == own else to for own, to in zip(runs, strings.on_passive, strict=True)]
    origin, reached_for = [NONE] * len(kept), [NONE] * len(kept)
    for join in through:
        if kept[join] == NONE:
            continue
        own, last = runs[join], len(kept) if ahead is None else join + ahead
        backward = [(kept[join], NONE)]
        while backward and reached_for[join] != join:
            forward = []
            for number, source in backward:
                if reached_for[number] != join:
                    origin[number], reached_for[number] = source, join
                    forward.append(number)
            backward = []
            while forward:
                number = forward.pop()
                if kept[number] != NONE:
                    backward.append((kept[number], number))
                for to in (strings.on_hand[number] if runs[number] != own else NONE, out[number]):
                    if NONE < to <= last and reached_for[to] != join:
                        origin[to], reached_for[to] = number, join
                        forward.append(to)
        if reached_for[join] == join:
            yield frozenset(_gone_back(kept, origin, join))


def _gone_back(kept: Sequence[int], origin: Sequence[int], join: int) -> Iterator[int]:
    """The joins that a cycle runs back along: the join itself, and those on the path to its later knot."""
    yield join
    number = join
    while origin[number] != NONE:
        if kept[origin[number]] == number:
            yield origin[number]
        number = origin[number]


def _fewest_broken(cycles: set[Cycle]) -> set[int]:
    """The fewest joins such that every cycle contains one."""
    if not cycles:
        return set()
    joins = sorted(set().union(*cycles))
    column = {join: at for at, join in enumerate(joins)}
    columns = [column[join] for cycle in cycles for join in cycle]
    ends = [0]
    for cycle in cycles:
        ends.append(ends[-1] + len(cycle))
    rows = csr_array(([1.0] * len(columns), columns, ends), shape=(len(cycles), len(joins)))
    found = milp(
        [1.0] * len(joins),
        integrality=[1] * len(joins),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(rows, lb=1),
        options={"mip_rel_gap": 0},
    )
    if found.status != 0:
        raise RuntimeError(found.message)
    return {join for join, broken in zip(joins, found.x, strict=True) if broken > 0.5}


def _entangled(strings: Strings, kept: Sequence[int]) -> list[int]:
    """The knots on cycles through more than one run; none when an order exists."""
    arrows = [
        (number, to)
        for number, each in enumerate(zip(strings.on_hand, strings.on_passive, kept, strict=True))
        for to in each
        if to != NONE
    ]
    if not arrows:
        return []
    graph = csr_array(([1] * len(arrows), tuple(zip(*arrows, strict=True))), shape=(len(kept), len(kept)))
    _, labels = connected_components(graph, connection="strong")
    circles = labels.tolist()
    runs_of: dict[int, set[int]] = {}
    for circle, run in zip(circles, _runs(kept), strict=True):
        runs_of.setdefault(circle, set()).add(run)
    return [number for number, circle in enumerate(circles) if len(runs_of[circle]) > 1]


def by_positions(work: Work, seconds: float) -> int:
    """The fewest pick-ups of a small diagonal band, by CP-SAT: every knot has a place in the sequence.

    A circuit runs from an outside node once through all knots and back. The place of each knot is one more than that of
    the knot before it, and later than that of every knot it rests on; each passage to a knot with another knotting
    string is a pick-up. This model has no joins. Raises RuntimeError when nothing is proven within `seconds`.
    """
    size = outside = work.size
    if not size:
        return 0
    below = _all_below(work)
    above = [sum(1 << other for other in range(size) if below[other] >> number & 1) for number in range(size)]
    model = cp_model.CpModel()
    places = [
        model.new_int_var(below[number].bit_count(), size - 1 - above[number].bit_count(), f"place {number}")
        for number in range(size)
    ]
    passages: list[tuple[int, int, cp_model.IntVar]] = []
    pickups: list[cp_model.IntVar] = []
    for number in range(size):
        for end, one, other in ((below[number], outside, number), (above[number], number, outside)):
            if not end:
                passages.append((one, other, model.new_bool_var(f"{one} to {other}")))
        for other in range(size):
            if below[other] >> number & 1:
                model.add(places[number] < places[other])
            if other != number and not below[number] >> other & 1 and not above[number] & below[other]:
                passage = model.new_bool_var(f"{number} to {other}")
                model.add(places[other] == places[number] + 1).only_enforce_if(passage)
                passages.append((number, other, passage))
                if work.knotting(number) != work.knotting(other):
                    pickups.append(passage)
    model.add_circuit(passages)
    model.minimize(1 + sum(pickups))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    if status != cp_model.OPTIMAL:
        raise RuntimeError(f"nothing proven for {size} knots: {solver.status_name(status)}")
    return round(solver.objective_value)


def _all_below(work: Work) -> list[int]:
    """For every knot, a bit mask of all knots before it along its strings, directly or not."""
    below: list[int] = []
    latest: dict[int, int] = {}
    for number in range(work.size):
        mine = (work.knotting(number), work.passive(number))
        before = [latest[string] for string in mine if string in latest]
        latest |= dict.fromkeys(mine, number)
        below.append(0)
        for other in before:
            below[number] |= below[other] | 1 << other
    return below
