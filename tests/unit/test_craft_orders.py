"""Working orders, runs and pick-ups."""

from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.orders import Order, by_rows, can_be_followed, from_sequence, pickups, runs
from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.trouble.made_otherwise import token
from benchmate.families.diagonal import segments
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.families.steps.work import StepsWork
from tests.charts import chart, design, ordered_bands, seeded, stripe, tie_by_hand, written


def tied_by_hand(band: DiagonalWork, order: Order) -> tuple[list[int], dict[tuple[int, int], str]]:
    """The result of tying by hand in this order: the strings as they hang, and the colour at every row and pair."""
    hanging = list(range(1, len(band.strings) + 1))
    colours = {}
    for number in order.sequence:
        knot = band.step(number)
        knotting, _ = tie_by_hand(hanging, knot.left, token(knot.knot))
        colours[knot.row, knot.left] = band.strings[knotting - 1]
    return hanging, colours


def test_by_rows_is_the_order_of_the_chart() -> None:
    order = by_rows(DiagonalWork(chart(4, "f b", "f"), 2))
    assert (order.by, list(order.sequence), list(order.place)) == ("rows", list(range(6)), list(range(6)))


def test_an_order_from_its_sequence() -> None:
    order = from_sequence("segments", [2, 0, 3, 1])
    assert (order.by, list(order.sequence), list(order.place)) == ("segments", [2, 0, 3, 1], [1, 3, 0, 2])


def test_a_run_lasts_as_long_as_the_string_stays_in_hand() -> None:
    band = DiagonalWork(stripe(3), 1)
    rowwise = [(ordered.n, ordered.step.row, ordered.run) for ordered in runs(band, by_rows(band))]
    assert rowwise == [(1, 1, 1), (2, 2, 1), (3, 3, 2), (4, 4, 2), (5, 5, 3), (6, 6, 3)]
    band = DiagonalWork(chart(4, "f b", "f", "b f"), 1)
    assert [ordered.run for ordered in runs(band, by_rows(band))] == [1, 2, 3, 4, 5]
    order = from_sequence("any", [1, 0, 2, 4, 3])
    assert [ordered.run for ordered in runs(band, order)] == [1, 2, 2, 2, 3]
    assert [ordered.step for ordered in runs(band, order)] == [band.step(number) for number in order.sequence]


def test_written_steps_have_one_run_and_no_pickups() -> None:
    steps = StepsWork(written("Fold", ("Braid", 3)), 1)
    assert [ordered.run for ordered in runs(steps, by_rows(steps))] == [1, 1, 1, 1]
    assert pickups(steps, by_rows(steps)) == 0


def test_a_band_without_knots_has_no_pickups() -> None:
    band = DiagonalWork(chart(2, "-"), 1)
    assert list(runs(band, by_rows(band))) == []
    assert pickups(band, by_rows(band)) == segments.fewest_pickups(band) == 0


@given(ordered_bands())
@seeded
def test_any_order_makes_the_same_band(ordered: tuple[DiagonalWork, Order]) -> None:
    band, order = ordered
    assert tied_by_hand(band, order) == tied_by_hand(band, by_rows(band))


@given(ordered_bands())
@seeded
def test_no_step_comes_before_one_it_rests_on(ordered: tuple[DiagonalWork, Order]) -> None:
    band, order = ordered
    for each in (order, by_rows(band)):
        assert sorted(each.sequence) == list(range(band.size))
        assert [each.sequence[place] for place in each.place] == list(range(band.size))
        for number in range(band.size):
            assert all(each.place[below] < each.place[number] for below in band.rests_on(number))


@given(ordered_bands())
@seeded
def test_no_order_has_fewer_pickups_than_the_fewest(ordered: tuple[DiagonalWork, Order]) -> None:
    band, order = ordered
    for each in (order, by_rows(band)):
        found = list(runs(band, each))
        assert pickups(band, each) == (found[-1].run if found else 0) >= segments.fewest_pickups(band)
        assert [(one.n, one.step) for one in found] == [(n, band.step(k)) for n, k in enumerate(each.sequence, 1)]


@given(ordered_bands(), st.data())
@seeded
def test_can_be_followed_accepts_only_possible_orders(ordered: tuple[DiagonalWork, Order], data: st.DataObject) -> None:
    band, order = ordered
    assert can_be_followed(band, order.sequence)
    spoilt = data.draw(st.permutations(list(order.sequence)))
    place = {number: at for at, number in enumerate(spoilt)}
    follows = all(place[below] < place[number] for number in range(band.size) for below in band.rests_on(number))
    assert can_be_followed(band, spoilt) == follows
    assert not can_be_followed(band, [*order.sequence, band.size])
    assert band.size == 0 or not can_be_followed(band, list(order.sequence)[:-1])


def test_the_parts_of_a_piece_come_in_order() -> None:
    whole = whole_piece(design(chart(4, "f b", "f")), design(written("Fold", "Pin")), design(written("Cut")))
    assert can_be_followed(whole, [0, 1, 3, 2, 4, 5])
    for spoilt in ([1, 0, 2, 3, 4, 5], [0, 2, 1, 3, 4, 5], [0, 1, 2, 4, 3, 5], [0, 1, 2, 3, 5, 4]):
        assert not can_be_followed(whole, spoilt)
