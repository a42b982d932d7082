"""The fewest later knots to change: against exhaustive search and a constraint solver, written apart from ours."""

from collections import Counter
from collections.abc import Iterator, Sequence
from random import Random
from typing import NamedTuple

import pytest
from ortools.sat.python import cp_model

from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows, by_segments
from benchmate.craft.trouble.made_otherwise import Made, token
from benchmate.craft.trouble.trouble import Mending
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.trouble.mend import mend
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import TOKENS, full, random_chart, trace

KINDS = ("f", "b", "fb", "bf", "-")
"""The ways to make a knot; of equally good ones the first is taken."""


class Open(NamedTuple):
    """A knot still to make: its number in the chart, row, left position, and token."""

    number: int
    row: int
    left: int
    token: str


class Case(NamedTuple):
    """A band with mistakes: the colours as they hang really and as charted, and what is still to be made of it."""

    body: Diagonal
    work: DiagonalWork
    made: dict[int, Made]
    sequence: Sequence[int]
    done: int
    rows: int
    touched: int
    really: list[str]
    charted: list[str]
    open: list[Open]

    def found(self) -> Mending:
        """What our search finds."""
        return mend(self.work, self.made, self.sequence, self.done, self.rows)


def case(
    chance: Random, body: Diagonal, rows: int, colours: Sequence[str], mistakes: int = 1, by: str = "rows"
) -> Case:
    """A band with so many wrong knots, interrupted at random."""
    body = body._replace(strings=tuple(chance.choice(colours) for _ in body.strings))
    work = DiagonalWork(body, 1)
    sequence = (by_segments if by == "segments" else by_rows)(work, from_right=chance.random() < 0.5).sequence
    done = chance.randint(mistakes, max(mistakes, work.size * 2 // 3))
    # As a maker who looks now and then does: the last few knots are the likeliest.
    wrong = chance.sample(sequence[max(0, done - 12) : done], mistakes)
    knots = trace(body)
    made: dict[int, Made] = {}
    for number in wrong:
        # A knot that only shows another colour puts nothing out of its place.
        swaps = knots[number].token in ("f", "b")
        kind = chance.choice([kind for kind in KINDS if (kind in ("f", "b")) != swaps])
        if chance.random() < 0.1:
            kind = chance.choice([kind for kind in KINDS if kind != knots[number].token])
        made[number] = None if kind == "-" else Knot(kind)
    really, charted = list(body.strings), list(body.strings)
    for number in sequence[:done]:
        at, kind = knots[number].left, knots[number].token
        swap(charted, at, kind)
        swap(really, at, token(made[number]) if number in made else kind)
    touched = max(knots[number].row for number in sequence[:done])
    still = [
        Open(number, knots[number].row, knots[number].left, knots[number].token) for number in sorted(sequence[done:])
    ]
    return Case(body, work, made, sequence, done, rows, touched, really, charted, still)


def swap(hanging: list[str], left: int, kind: str) -> None:
    """What a knot does to the colours as they hang."""
    if kind in ("f", "b"):
        hanging[left - 1], hanging[left] = hanging[left], hanging[left - 1]


def shown(hanging: Sequence[str], left: int, kind: str) -> str:
    """The colour that a knot shows; empty for none."""
    return {"f": hanging[left - 1], "fb": hanging[left - 1], "-": ""}.get(kind, hanging[left])


class Best(NamedTuple):
    """The best changes there are: how many, how many knots of another colour, the row, the knots, and their kinds."""

    changed: int
    shows: int
    row: int
    steps: tuple[int, ...]
    kinds: tuple[int, ...]


def exhaustive(case: Case, most: int = 3) -> Best | None:
    """Tries every way to make up to `most` of the open knots otherwise, looking at the colours after every row."""
    last = min(case.touched + case.rows, len(case.body.rows))
    window = [knot for knot in case.open if knot.row <= last]
    for count in range(most + 1):
        found = min(_tries(case, window, last, count), default=None)
        if found is not None:
            return found
    return None


def _tries(case: Case, window: list[Open], last: int, count: int) -> Iterator[Best]:
    def go(
        at: int,
        row: int,
        really: list[str],
        charted: list[str],
        shows: int,
        steps: tuple[int, ...],
        kinds: tuple[int, ...],
    ) -> Iterator[Best]:
        """From knot `at` of the window on, all rows below `row` being looked at."""
        while row <= last and (at == len(window) or window[at].row > row):
            if row >= case.touched and really == charted and len(steps) == count:
                yield Best(count, shows, row, steps, kinds)
                return
            row += 1
        if at == len(window):
            return
        knot = window[at]
        before, colour = list(charted), shown(charted, knot.left, knot.token)
        swap(before, knot.left, knot.token)
        for kind_at, kind in enumerate(KINDS):
            other = kind != knot.token
            if other and len(steps) == count:
                continue
            after = list(really)
            swap(after, knot.left, kind)
            differs = shown(really, knot.left, kind) != colour
            more = ((*steps, knot.number), (*kinds, kind_at)) if other else (steps, kinds)
            yield from go(at + 1, row, after, before, shows + differs, *more)

    yield from go(0, 1, case.really, case.charted, 0, (), ())


def agrees(case: Case, best: Best | None) -> None:
    """Our search finds the same changes, in every word."""
    found = case.found()
    if best is None:
        assert found == Mending(None, None, None)
    elif not best.changed:
        assert found == Mending({}, None, 0)
    else:
        assert found.changes is not None
        ours = tuple(found.changes), tuple(KINDS.index(token(way)) for way in found.changes.values())
        assert (len(found.changes), found.shows, found.from_row, *ours) == best


@pytest.mark.parametrize("seeds", range(0, 400, 200))
def test_the_changes_are_those_of_exhaustive_search(seeds: int) -> None:
    found = Counter(one_band(Random(seed)) for seed in range(seeds, seeds + 200))
    # Every answer there is: no change, some, and none that is small enough.
    assert {*found} == {0, 1, 2, 3, None}


def one_band(chance: Random) -> int | None:
    """Compares a random band; returns how many knots are to be changed."""
    strings = chance.randint(3, 6)
    body = random_chart(chance, strings, chance.randint(3, 7), [*TOKENS, Knot.FORWARD, Knot.BACKWARD])
    assert trace(body)
    mistakes = min(chance.choice([1, 1, 1, 2]), len(trace(body)))
    rows = chance.choice([0, 1, 2, 3, 20])
    colours = "abcdef"[: chance.randint(2, strings)]
    one = case(chance, body, rows, colours, mistakes, chance.choice(["rows", "segments"]))
    best = exhaustive(one)
    agrees(one, best)
    return None if best is None else best.changed


@pytest.mark.parametrize("strings", range(3, 9))
def test_one_stay_in_rows_of_forward_knots_has_one_later_knot_that_mends_it(strings: int) -> None:
    # Twice as many rows as strings bring all strings home; a pair meets again as many rows below.
    body = full(strings, 2 * strings)
    work = DiagonalWork(body, 1)
    for number in range(work.span(strings).end):
        row, left = work.row_of(number), work.left(number)
        done = work.span(strings).end
        found = mend(work, {number: Knot("fb")}, range(work.size), done, 2 * strings)
        assert found.changes is not None
        ((later, way),) = found.changes.items()
        # Made by the right string, which hangs where the left one should, it even shows the colour of the chart.
        assert (way, work.row_of(later), found.from_row) == (Knot("bf"), row + strings, row + strings)
        assert work.left(later) == strings - left
        # It is the only one: any other knot made to stay, and the strings are not home at the end.
        home = [
            other
            for other in range(done, work.size)
            if work.made_otherwise({number: Knot("fb"), other: Knot("fb")}).at_end == work.at_end
        ]
        assert home == [later]


def solved(case: Case) -> tuple[int, int, int] | None:
    """How many knots to change at least, how many then show another colour, and the row, by a constraint solver.

    The colours in every place after every knot are its variables, for the band as it will really be.
    """
    last = min(case.touched + case.rows, len(case.body.rows))
    window = [knot for knot in case.open if knot.row <= last]
    code = {colour: at for at, colour in enumerate(dict.fromkeys(case.body.strings))}
    model = cp_model.CpModel()
    really: list[cp_model.IntVar | int] = [code[colour] for colour in case.really]
    charted = list(case.charted)
    changed, differ = [], []
    ends = {row: model.new_bool_var("") for row in range(case.touched, last + 1)}
    model.add_exactly_one(ends.values())
    rest = list(window)
    for row in range(1, last + 1):
        while rest and rest[0].row == row:
            knot = rest.pop(0)
            one, other = really[knot.left - 1], really[knot.left]
            kinds = {kind: model.new_bool_var("") for kind in KINDS}
            model.add_exactly_one(kinds.values())
            changed.append(~kinds[knot.token])
            # In a row past the last one nothing needs to be counted.
            counts = [ends[end] for end in ends if end < row]
            after = [model.new_int_var(0, len(code), "") for _ in "lr"]
            for kind, chosen in kinds.items():
                pair = (other, one) if kind in ("f", "b") else (one, other)
                for new, old in zip(after, pair, strict=True):
                    model.add(new == old).only_enforce_if(chosen)
            shows = model.new_int_var(0, len(code), "")
            for kind, chosen in kinds.items():
                maker = {"f": one, "fb": one, "-": len(code)}.get(kind, other)
                model.add(shows == maker).only_enforce_if(chosen)
            wrong = model.new_bool_var("")
            model.add(shows == code[shown(charted, knot.left, knot.token)]).only_enforce_if(~wrong, *map(_not, counts))
            differ.append(wrong)
            really[knot.left - 1], really[knot.left] = after
            swap(charted, knot.left, knot.token)
        if row in ends:
            for here, colour in zip(really, charted, strict=True):
                model.add(here == code[colour]).only_enforce_if(ends[row])
    model.add(sum(changed) <= 3)
    most = len(window) + 1
    at = sum(row * chosen for row, chosen in ends.items())
    model.minimize((sum(changed) * most + sum(differ)) * 1000 + at)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    rest_of, row = divmod(round(solver.objective_value), 1000)
    return *divmod(rest_of, most), row


def _not(variable: cp_model.IntVar) -> cp_model.BoolVarT:
    return ~variable


@pytest.mark.parametrize("seed", range(8))
def test_the_changes_in_wider_bands_are_as_few_as_a_constraint_solver_says(seed: int) -> None:
    chance = Random(1000 + seed)
    strings = chance.randint(7, 12)
    tokens = [*Knot, Knot.FORWARD, Knot.BACKWARD, Knot.FORWARD]
    one = case(chance, random_chart(chance, strings, 24, tokens), 12, "abcd", 1 + seed % 2)
    best, found = solved(one), one.found()
    ours = None if found.changes is None else (len(found.changes), found.shows, found.from_row or one.touched)
    assert ours == best
