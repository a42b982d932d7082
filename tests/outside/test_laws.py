"""Laws of bands: crossings, coming home, fewest pick-ups, undoing, and the effects of one wrong knot."""

from collections.abc import Iterator
from random import Random

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows, by_segments, pickups
from benchmate.craft.progress import Progress, hanging_after
from benchmate.families.diagonal import segments
from benchmate.families.diagonal.body import Diagonal, Row
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import DIFFERENT, fewest_pickups, full, pointed, pointed_in_full_rows, stripe

SIZES = range(3, 9)


def hangs_after(band: DiagonalWork) -> list[int]:
    """The strings as they hang at the end."""
    return hanging_after(band, by_rows(band), range(band.size))


@pytest.mark.parametrize("strings", SIZES)
def test_n_rows_reverse_the_strings_and_every_pair_meets_once(strings: int) -> None:
    # Derived: full rows of n strings, all forward, are the odd-even transposition sort of a reversal.
    band = DiagonalWork(full(strings, strings), 1)
    assert hangs_after(band) == list(range(strings, 0, -1))
    met = {frozenset((band.knotting(number), band.passive(number))) for number in range(band.size)}
    assert band.size == len(met) == strings * (strings - 1) // 2


@pytest.mark.parametrize("strings", SIZES)
def test_2n_rows_bring_all_strings_home(strings: int) -> None:
    # Derived: from the reversal, applied twice.
    band = DiagonalWork(full(strings, 2 * strings), 1)
    assert hangs_after(band) == list(range(1, strings + 1))
    assert band.size == strings * (strings - 1)


@pytest.mark.parametrize(("strings", "out", "of"), [(4, 11, 12), (6, 26, 30), (8, 47, 56)])
def test_reaching_the_first_knot_undoes_nearly_all(strings: int, out: int, of: int) -> None:
    # Derived: the upward closure of the first knot, counted.
    band = DiagonalWork(full(strings, 2 * strings), 1)
    progress = Progress.resume(band, by_rows(band), range(band.size))
    assert band.size == of
    assert len(progress.must_come_out(0)) == out


# Derived, confirmed by exhaustive search: chart, pick-ups by rows, fewest of any order.
FEWEST = [
    pytest.param(stripe(4), 10, 4, id="stripe-4"),
    pytest.param(stripe(6), 28, 6, id="stripe-6"),
    pytest.param(stripe(8), 54, 8, id="stripe-8"),
    pytest.param(pointed(4, 3), 9, 6, id="pointed-4"),
    pytest.param(pointed(6, 3), 15, 6, id="pointed-6"),
    pytest.param(pointed(8, 4), 28, 8, id="pointed-8"),
    pytest.param(pointed(8, 8), 56, 16, id="pointed-8-long"),
    pytest.param(full(4, 8), 12, 5, id="full-4"),
    pytest.param(full(5, 10), 20, 6, id="full-5"),
    pytest.param(full(6, 12), 30, 8, id="full-6"),
    pytest.param(full(7, 14), 42, 9, id="full-7"),
    pytest.param(full(8, 16), 56, 11, id="full-8"),
    pytest.param(pointed_in_full_rows(4, 6), 9, 6, id="pointed-full-4"),
    pytest.param(pointed_in_full_rows(6, 6), 15, 7, id="pointed-full-6"),
    pytest.param(pointed_in_full_rows(8, 8), 28, 10, id="pointed-full-8"),
    pytest.param(pointed_in_full_rows(8, 16), 56, 18, id="pointed-full-8-long"),
]


@pytest.mark.parametrize(("body", "row_order", "fewest"), FEWEST)
def test_known_numbers_of_pickups(body: Diagonal, row_order: int, fewest: int) -> None:
    band = DiagonalWork(body, 1)
    assert pickups(band, by_rows(band)) == row_order
    assert pickups(band, by_segments(band)) == segments.fewest_pickups(band) == fewest
    assert fewest_pickups(band) == fewest


# One wrong knot. Common practice, derived by simulation. C: its colour is wrong. O: its two strings are exchanged from
# there on. gap: no knot where one should be.
EFFECTS = {
    "f": {"b": "C", "fb": "O", "bf": "C+O", "none": "gap+O"},
    "b": {"f": "C", "fb": "C+O", "bf": "O", "none": "gap+O"},
    "fb": {"f": "O", "b": "C+O", "bf": "C", "none": "gap"},
    "bf": {"f": "C+O", "b": "O", "fb": "C", "none": "gap"},
}

Place = tuple[int, int]
Strings = tuple[int, int]


def knots_of(body: Diagonal) -> dict[Place, Strings]:
    """The knotting and the passive string at every row and position."""
    band = DiagonalWork(body, 1)
    knots = map(band.step, range(band.size))
    return {(knot.row, knot.left): (knot.knotting, knot.passive) for knot in knots}


def with_knot(body: Diagonal, place: Place, knot: Knot | None) -> Diagonal:
    """The same chart with one knot replaced or left out."""
    number, left = place
    rows = list(body.rows)
    knots = list(rows[number - 1].knots)
    knots[(left - rows[number - 1].start) // 2] = knot
    rows[number - 1] = Row(rows[number - 1].start, tuple(knots))
    return Diagonal(body.strings, tuple(rows))


def any_knots(strings: int, rows: int) -> Diagonal:
    """Full rows of any knots, every string in a colour of its own."""
    chance = Random(strings * 100 + rows)
    starts = [1, 2] * rows
    found = (Row(at, tuple(chance.choice(list(Knot)) for _ in range(at, strings, 2))) for at in starts[:rows])
    return Diagonal(DIFFERENT[:strings], tuple(found))


def places_of(body: Diagonal, token: str) -> Iterator[Place]:
    """Where the chart has this knot."""
    for number, each in enumerate(body.rows, 1):
        for at, knot in enumerate(each.knots):
            if knot is not None and knot.value == token:
                yield number, each.start + 2 * at


def effect_of(body: Diagonal, place: Place, made: Knot | None) -> str:
    """The effect of one wrong knot; checks that other knots stay the same or have just the two strings exchanged."""
    wrong = with_knot(body, place, made)
    right_knots, wrong_knots = knots_of(body), knots_of(wrong)
    one, other = right_knots[place]
    exchange = {one: other, other: one}

    def exchanged(strings: Strings) -> Strings:
        return exchange.get(strings[0], strings[0]), exchange.get(strings[1], strings[1])

    right_end, wrong_end = hangs_after(DiagonalWork(body, 1)), hangs_after(DiagonalWork(wrong, 1))
    order_is_wrong = wrong_end != right_end
    if order_is_wrong:
        assert wrong_end == [exchange.get(string, string) for string in right_end]
    for elsewhere, strings in right_knots.items():
        if elsewhere != place:
            moved = order_is_wrong and elsewhere > place
            assert wrong_knots[elsewhere] == (exchanged(strings) if moved else strings)
            if not {one, other} & {*strings}:
                assert wrong_knots[elsewhere] == strings
    if place not in wrong_knots:
        return "gap+O" if order_is_wrong else "gap"
    assert {*wrong_knots[place]} == {one, other}
    colour_is_wrong = body.strings[wrong_knots[place][0] - 1] != body.strings[one - 1]
    return "+".join(["C"] * colour_is_wrong + ["O"] * order_is_wrong)


@pytest.mark.parametrize("made", [*Knot, None], ids=lambda knot: knot.value if knot else "none")
@pytest.mark.parametrize("intended", EFFECTS)
def test_the_effect_of_one_wrong_knot(intended: str, made: Knot | None) -> None:
    found = set()
    for strings, rows in [(2, 3), (5, 7), (6, 8), (7, 6)]:
        body = any_knots(strings, rows)
        found |= {effect_of(body, place, made) for place in places_of(body, intended)}
    assert found == {"" if made is Knot(intended) else EFFECTS[intended][made.value if made else "none"]}


@pytest.mark.parametrize("intended", EFFECTS)
def test_on_strings_of_one_colour_a_wrong_knot_shows_nothing(intended: str) -> None:
    # Common practice: between two strings of one colour neither the knot nor the order gives a wrong one away.
    for place in places_of(body := any_knots(6, 8), intended):
        one, other = knots_of(body)[place]
        names = list(body.strings)
        names[one - 1] = names[other - 1]
        colours = [[names[string - 1] for string in hangs_after(DiagonalWork(body, 1))]]
        seen = [{at: names[strings[0] - 1] for at, strings in knots_of(body).items()}]
        for made in Knot:
            wrong = with_knot(body, place, made)
            colours.append([names[string - 1] for string in hangs_after(DiagonalWork(wrong, 1))])
            seen.append({at: names[strings[0] - 1] for at, strings in knots_of(wrong).items()})
        assert all(each == colours[0] for each in colours)
        assert all(each == seen[0] for each in seen)


@pytest.mark.parametrize("strings", SIZES)
def test_exactly_one_later_knot_brings_the_strings_back(strings: int) -> None:
    # Derived: in full rows, all forward, the two strings of a knot meet again n rows below it and nowhere between.
    body = full(strings, 2 * strings)
    home = hangs_after(DiagonalWork(body, 1))
    places = list(places_of(body, "f"))
    for place in places:
        if place[0] <= strings:
            wrong = with_knot(body, place, Knot.FORWARD_BACKWARD)
            mended = [
                later
                for later in places
                if later > place
                and hangs_after(DiagonalWork(with_knot(wrong, later, Knot.FORWARD_BACKWARD), 1)) == home
            ]
            assert [later[0] for later in mended] == [place[0] + strings]
