"""The colour of every knot of a variegated string, against a reckoning that walks the chart with fractions."""

from collections.abc import Collection, Iterator
from fractions import Fraction
from math import floor
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour, ColourLength
from benchmate.craft.design import Design, work_for
from benchmate.craft.orders import by_segments
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.thread.cut_list import cut_list
from benchmate.craft.thread.cutting_steps.to_cut import KnownThread
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS, Gauge
from benchmate.craft.thread.variegated.along import Beginnings, EvenlyAlong, TakenAlong
from benchmate.craft.thread.variegated.sequence import average
from benchmate.craft.ways import mirrored
from benchmate.draw.layout import lay_out
from benchmate.families.alpha.body import alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.alpha.work import AlphaWork
from benchmate.families.braid.body import Braid
from benchmate.families.braid.family import BRAID
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.family import DIAGONAL
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.families.steps.body import Instruction, Steps
from benchmate.families.steps.family import STEPS
from tests.charts import bodies, chart, full, seeded

Rule = tuple[tuple[str, Fraction], ...]
"""The colours along a thread, each with its length, over and over."""
SLACK = Fraction(1, 10**6)
"""Shares of a knot that differ by less, mm, count as equal: the program reckons with floating numbers."""


def variegated(name: str, rule: Rule) -> Colour:
    sequence = tuple(ColourLength(value, float(mm), value) for value, mm in rule)
    return Colour(name, average(sequence), name, sequence=sequence)


@st.composite
def rules(draw: st.DrawFn) -> Rule:
    """Two to six colours, of which some may come again, of 1 mm to 30 cm each."""
    count = draw(st.integers(2, 6))
    values = [f"#{draw(st.integers(0, 3)):02x}00{at:02x}" if at % 2 else "#ffffff" for at in range(count)]
    lengths = draw(st.lists(st.integers(10, 3000).map(lambda mm: Fraction(mm, 10)), min_size=count, max_size=count))
    return tuple(zip(values, lengths, strict=True))


short_rules = rules().map(lambda rule: tuple((value, mm / 10) for value, mm in rule))
"""The same, of which each knot shows another colour."""


def best(rule: Rule, begins: Fraction, mm: Fraction) -> set[str]:
    """The colours with the largest share of `mm` of thread from `begins` on, counted cycle by cycle."""
    around = sum(length for _, length in rule)
    share: dict[str, Fraction] = {}
    for cycle in range(floor(begins / around), floor((begins + mm) / around) + 1):
        left = cycle * around
        for value, length in rule:
            common = min(begins + mm, left + length) - max(begins, left)
            if common > 0:
                share[value] = share.get(value, Fraction(0)) + common
            left += length
    return {value for value, found in share.items() if found > max(share.values()) - SLACK}


def exactly(number: float) -> Fraction:
    return Fraction(str(number))


def walked(
    body: Diagonal,
    repeats: int,
    gauge: Gauge,
    start_mm: float,
    ruled: dict[int, Rule],
    joined: Collection[tuple[int, int]] = (),
) -> Iterator[tuple[int, int, set[str]]]:
    """Every knot: its row, its left position, and what colours it may show; a row at a time, as a maker works.

    `joined` are strings that a new one takes over from, each after a knot, counted from 0, or before all, -1.
    """
    made, carried, stayed, waited = map(exactly, gauge[1:5])
    hanging = list(range(1, len(body.strings) + 1))
    at = {string: exactly(gauge.tail_mm if (string, -1) in joined else start_mm) for string in hanging}
    knots = 0
    for number, row in enumerate(body.rows * repeats, 1):
        busy = set()
        for pair, knot in enumerate(row.knots):
            if knot is None:
                continue
            left = row.start - 1 + 2 * pair
            pulls = hanging[left] if knot.value in ("f", "fb") else hanging[left + 1]
            other = hanging[left + 1] if pulls == hanging[left] else hanging[left]
            yield number, left + 1, best(ruled[pulls], at[pulls], made)
            at[pulls] += made
            at[other] += carried if knot.value in ("f", "b") else stayed
            busy |= {pulls, other}
            for string in (pulls, other):
                if (string, knots) in joined:
                    at[string] = exactly(gauge.tail_mm)
            knots += 1
            if knot.value in ("f", "b"):
                hanging[left], hanging[left + 1] = hanging[left + 1], hanging[left]
        for string in set(hanging) - busy:
            at[string] += waited


TENTHS = st.integers(1, 300).map(lambda tenths: tenths / 10)
gauges = st.builds(
    lambda made, carried, stayed, waited, start: FLOSS._replace(
        made_mm=made, carried_mm=carried, stayed_mm=stayed, waited_mm=waited, start_mm=start
    ),
    *[TENTHS] * 5,
)


@seeded
@given(bodies(), st.integers(1, 3), rules(), rules(), gauges, st.sets(st.integers(1, 8)))
def test_every_knot_has_the_colour_that_its_thread_has_there(
    body: Diagonal, repeats: int, one: Rule, other: Rule, gauge: Gauge, backwards: set[int]
) -> None:
    names = {name: f"x{at % 2}" for at, name in enumerate(dict.fromkeys(body.strings))}
    body = body._replace(strings=tuple(names[name] for name in body.strings))
    ruled = {
        string: (one if name == "x0" else other)[:: -1 if string in backwards else 1]
        for string, name in enumerate(body.strings, 1)
    }
    colours = {"x0": variegated("x0", one), "x1": variegated("x1", other)}
    begins = Beginnings(gauge, gauge.start_mm, frozenset(backwards))
    design = Design("Trial", DIAGONAL, colours, body, repeats=repeats, beginnings=begins)
    layout = lay_out(design)
    expected = {(row, left): values for row, left, values in walked(body, repeats, gauge, gauge.start_mm, ruled)}
    assert len(layout.knots) == len(expected)
    for knot in layout.knots:
        assert layout.value_of(knot.colour, knot.part) in expected[knot.row, knot.place]


@seeded
@given(bodies(), st.integers(1, 3), short_rules, gauges, st.sets(st.integers(0, 12), max_size=4), st.booleans())
def test_where_a_new_string_takes_over_its_colours_begin_again(
    body: Diagonal, repeats: int, rule: Rule, gauge: Gauge, steps: set[int], before: bool
) -> None:
    colours = {name: variegated(name, rule) for name in body.strings}
    ruled = dict.fromkeys(range(1, len(body.strings) + 1), rule)
    work = DiagonalWork(body, repeats)
    joined = {(work.passive(step), step) for step in steps if step < work.size} | ({(1, -1)} if before else set())
    begins = Beginnings(gauge, gauge.start_mm, joined=frozenset(joined))
    design = Design("Trial", DIAGONAL, colours, body, repeats=repeats, beginnings=begins)
    layout = lay_out(design)
    walk = walked(body, repeats, gauge, gauge.start_mm, ruled, joined)
    expected = {(row, left): values for row, left, values in walk}
    for knot in layout.knots:
        assert layout.value_of(knot.colour, knot.part) in expected[knot.row, knot.place]


@seeded
@given(bodies(), st.integers(1, 3), gauges)
def test_places_along_a_string_add_up_to_what_it_needs(body: Diagonal, repeats: int, gauge: Gauge) -> None:
    rule: Rule = (("#000000", Fraction(1)), ("#ffffff", Fraction(1)))
    colours = {name: variegated(name, rule) for name in body.strings}
    design = Design("Trial", DIAGONAL, colours, body, beginnings=Beginnings(gauge, 12.5))
    along = design.thread_along(work_for(design, repeats))
    assert isinstance(along, TakenAlong)
    for each in cut_list(design, Estimate(gauge), repeats=repeats).strings:
        assert along.used(each.string) - 12.5 == pytest.approx(each.needs_mm, abs=1e-6)


@seeded
@given(st.integers(1, 6), st.integers(1, 6), st.integers(0, 2**30), st.integers(1, 2))
def test_leading_strings_add_up_with_their_floats(columns: int, rows: int, seed: int, repeats: int) -> None:
    chance = Random(seed)
    picture = tuple(tuple(chance.choice("xyz") for _ in range(columns)) for _ in range(rows))
    rule: Rule = (("#000000", Fraction(5)), ("#ffffff", Fraction(3)))
    colours = {name: variegated(name, rule) for name in "xyz"}
    body = alpha("x", picture)
    design = Design("Trial", ALPHA, colours, body, repeats=repeats)
    work = work_for(design)
    assert isinstance(work, AlphaWork)
    along = design.thread_along(work)
    assert isinstance(along, TakenAlong)
    cuts = cut_list(design, Estimate())
    for each in cuts.leading:
        string = body.columns + body.leading.index(each.colour) + 1
        assert along.used(string, each.leading) - FLOSS.tail_mm == pytest.approx(each.needs_mm, abs=1e-6)
    for base in cuts.strings:
        assert along.used(base.string) - FLOSS.start_mm == pytest.approx(base.needs_mm, abs=1e-6)
    # Knot by knot: every leading string by itself, a float as long as the straight way across the back.
    made, at = exactly(FLOSS.made_mm), dict[int, Fraction]()
    for number in range(work.size):
        leading = work.plan.leading(number)
        pick_up = work.plan.pick_up(number)
        brought = Fraction(0)
        if pick_up is not None and pick_up.float is not None:
            wide, high = pick_up.float.columns * FLOSS.wide_mm, pick_up.float.risen * FLOSS.base_mm
            brought = Fraction((wide**2 + high**2) ** 0.5)
        begins = at.get(leading, exactly(FLOSS.tail_mm)) + brought
        assert rule[along.made(number)][0] in best(rule, begins, made)
        at[leading] = begins + made


def test_strands_of_a_braid_run_on_with_every_move() -> None:
    rule: Rule = (("#000000", Fraction(3)), ("#ffffff", Fraction(2)))
    body = Braid(8, ((1, "x"), (4, "x"), (5, "y")), ((1, 2), (4, 6), (2, 1), (6, 4)))
    colours = {"x": variegated("x", rule), "y": Colour("y", "#ff0000", "y")}
    for repeats in (1, 40):
        design = Design("Trial", BRAID, colours, body, repeats=repeats)
        along = design.thread_along(work_for(design))
        assert isinstance(along, EvenlyAlong)
        needs = {each.string: each.needs_mm for each in cut_list(design, Estimate()).strings}
        for number in range(4 * repeats):
            now = along.now(lambda _: False, number)
            assert now.keys() == {1, 4}
            for strand, part in now.items():
                each = Fraction(needs[strand]) / (4 * repeats)
                assert rule[part][0] in best(rule, exactly(FLOSS.start_mm) + number * each, each)
    layout = lay_out(design)
    assert {knot.part for knot in layout.crosses} == {0, 1}
    # Every strand is drawn whole: from above the first move to below the last, where it does not move.
    still = [each for each in layout.strands if each.colour == "y"]
    assert [each.part for each in still] == [0]
    assert len(layout.rest_parts) == len(layout.crosses)


WEIR = full(6, 40)._replace(strings=("x", "x", "y", "y", "x", "y"))
LONG: Rule = (("#000000", Fraction(150)), ("#ffffff", Fraction(90)), ("#808080", Fraction(55)))


def weir(repeats: int = 1) -> Design:
    return Design("Weir", DIAGONAL, {"x": variegated("x", LONG), "y": variegated("y", LONG)}, WEIR, repeats=repeats)


def test_further_repeats_change_nothing_about_the_first() -> None:
    once, twice = lay_out(weir()), lay_out(weir(2))
    assert twice.knots[: len(once.knots)] == once.knots
    assert {knot.part for knot in once.knots} == {0, 1, 2}


def test_a_mirror_image_has_the_same_colours_in_the_mirrored_places() -> None:
    one, other = lay_out(weir()), lay_out(mirrored(weir()))
    assert {(knot.row, knot.place): knot.part for knot in one.knots} == {
        (knot.row, len(WEIR.strings) - knot.place): knot.part for knot in other.knots
    }


def test_the_order_of_work_changes_nothing() -> None:
    work = work_for(weir())
    rows, segments = weir().thread_along(work), weir().thread_along(work)
    expected = [rows.made(number) for number in range(work.size)]
    order = by_segments(work).sequence
    assert list(order) != sorted(order)
    assert {number: segments.made(number) for number in order} == dict(enumerate(expected))


def test_a_string_shows_what_its_next_knot_will_show() -> None:
    work = work_for(weir())
    along = weir().thread_along(work)
    chance = Random(5)
    for done in chance.sample(range(work.size), 40):
        now = weir().thread_along(work).now(range(done).__contains__, done)
        for string in range(1, 7):
            number = next((n for n in range(done, work.size) if string in (work.knotting(n), work.passive(n))), None)
            if number is not None:
                assert now[string] == along.of_step(number)[string]


def test_a_string_that_only_waits_changes_as_well() -> None:
    body = chart("x y y", *["f", "-"] * 60)
    colours = {
        "x": Colour("x", "#ff0000", "x"),
        "y": variegated("y", (("#000000", Fraction(9)), ("#ffffff", Fraction(7)))),
    }
    layout = lay_out(Design("Trial", DIAGONAL, colours, body, beginnings=Beginnings(FLOSS, 0.0)))
    waits = {each.row: layout.value_of(each.colour, each.part) for each in layout.waits if each.place == 3}
    rule = (("#000000", Fraction(9)), ("#ffffff", Fraction(7)))
    for row, value in waits.items():
        assert value in best(rule, (row - 1) * exactly(FLOSS.waited_mm), exactly(FLOSS.waited_mm))
    assert set(waits.values()) == {"#000000", "#ffffff"}


def piece(uses: float | None = None) -> WholePiece:
    start = Steps((), (Instruction("Fold", None, 1),), True, uses)
    colours = {"t": Colour("t", "#000000", "t")}
    known = KnownThread(Estimate())
    return whole_piece(weir(), Design("Start", STEPS, colours, start), None, 1, known)


def test_a_folded_length_begins_for_both_halves_in_its_fold() -> None:
    whole = piece()
    design = whole.main.design
    assert whole.to_cut is not None
    assert whole.to_cut.cuts is not None
    pieces = [each.strings for each in whole.to_cut.cuts.pieces]
    assert design.beginnings.backwards == {strings[1] for strings in pieces if len(strings) == 2}
    ruled = {s: LONG[::-1] if s in design.beginnings.backwards else LONG for s in range(1, 7)}
    expected = {(row, left): values for row, left, values in walked(WEIR, 1, FLOSS, FLOSS.start_mm, ruled)}
    for knot in lay_out(design).knots:
        assert LONG[knot.part][0] in expected[knot.row, knot.place]


def test_what_a_start_says_it_takes_moves_the_colours_on() -> None:
    design = piece(uses=37.5).main.design
    assert design.beginnings.start_mm == 37.5
    ruled = {s: LONG[::-1] if s in design.beginnings.backwards else LONG for s in range(1, 7)}
    expected = {(row, left): values for row, left, values in walked(WEIR, 1, FLOSS, 37.5, ruled)}
    for knot in lay_out(design).knots:
        assert LONG[knot.part][0] in expected[knot.row, knot.place]
