"""Whether a string lasts: against a sum made row by row that shares no code with ours."""

from decimal import Decimal
from random import Random

import pytest

from benchmate.craft.orders import Order, by_rows, by_segments
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS, Gauge
from benchmate.craft.trouble.trouble import Lasting
from benchmate.families.diagonal.thread_use import thread_use
from benchmate.families.diagonal.trouble.diagonal_trouble import DiagonalTrouble
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import Traced, chart, random_chart, trace

lasts = DiagonalTrouble().lasts

EVEN = Gauge(made_mm=10.0, carried_mm=2.0, stayed_mm=1.0, waited_mm=0.5, hold_mm=5.0)


def by_hand(
    knots: list[Traced], rows: int, order: list[int], done: int, string: int, left: Decimal, gauge: Gauge
) -> tuple[Decimal, int | None, int | None]:
    """What a string needs, and the first knot it cannot make and the last it is carried in before: row by row."""
    mm = {name: Decimal(str(getattr(gauge, name))) for name in Gauge._fields[1:5]}
    own = {knots[at].row: at for at in order if string in (knots[at].knotting, knots[at].passive)}
    tied = set(order[:done])
    touched = max((knots[at].row for at in tied), default=0)
    need, waiting = Decimal(0), 0
    short = carried = None
    for row in range(1, rows + 1):
        at = own.get(row)
        if at is None:
            waiting += 1
        elif at in tied:
            waiting = 0
        else:
            need += waiting * mm["waited_mm"]
            waiting = 0
            if knots[at].knotting == string:
                need += mm["made_mm"]
            else:
                need += mm["stayed_mm" if len(knots[at].token) == 2 else "carried_mm"]
            if short is None and need > left - Decimal(str(gauge.hold_mm)):
                short = at
            if short is None and knots[at].knotting != string:
                carried = at
    last = max(own, default=0)
    need += mm["waited_mm"] * len([row for row in range(last + 1, rows + 1) if row > touched])
    return need, short, None if short is None else carried


@pytest.mark.parametrize("seeds", range(0, 300, 100))
def test_lasts_agrees_with_the_sum_made_row_by_row(seeds: int) -> None:
    for seed in range(seeds, seeds + 100):
        one_band(Random(seed))


def one_band(chance: Random) -> None:
    """Compares some strings of a random band at some moments."""
    body = random_chart(chance, chance.randint(2, 7), chance.randint(1, 9))
    repeats = chance.randint(1, 2)
    work = DiagonalWork(body, repeats)
    from_right = chance.random() < 0.3
    way = by_segments if chance.random() < 0.5 else by_rows
    order: Order = way(work, from_right=from_right)
    gauge = chance.choice([FLOSS, EVEN])
    knots = trace(body, repeats)
    for _ in range(6):
        done, string = chance.randint(0, work.size), chance.randint(1, len(body.strings))
        left = Decimal(chance.randint(0, 3000)) / 20
        needs, gives_out, lay_in = by_hand(knots, work.rows, list(order.sequence), done, string, left, gauge)
        found = lasts(work, order.sequence, done, string, float(left), gauge)
        assert found == Lasting(float(needs), gives_out, lay_in)


def test_before_the_first_knot_every_string_needs_what_thread_says() -> None:
    for seed in range(20):
        chance = Random(seed)
        body = random_chart(chance, chance.randint(2, 9), chance.randint(1, 30))
        work = DiagonalWork(body, 2)
        for use in thread_use(body, 2, FLOSS).strings:
            found = lasts(work, range(work.size), 0, use.string, 0, FLOSS)
            assert found.needs_mm == pytest.approx(Estimate().needs_mm(use.counts))


def test_a_string_with_just_enough_lasts() -> None:
    # 0.1 added up thirty times is more than 3.0 in binary numbers.
    gauge = FLOSS._replace(made_mm=0.1, hold_mm=50.0)
    work = DiagonalWork(chart("a b", *["fb", ""] * 30), 1)
    row_mm = gauge.waited_mm
    need = 30 * 0.1 + 29 * row_mm
    assert lasts(work, range(30), 0, 1, round(need + 50, 6), gauge).gives_out is None
    assert lasts(work, range(30), 0, 1, round(need + 49.999999, 6), gauge).gives_out == 29


def test_waiting_at_the_end_never_makes_a_string_give_out() -> None:
    work = DiagonalWork(chart("a b", "f", "", "-", "", "-"), 1)
    assert lasts(work, range(1), 1, 1, 0, EVEN) == Lasting(4 * 0.5, None, None)


def test_the_row_of_a_wait_is_charged_at_the_next_knot_although_the_band_is_past_it() -> None:
    work = DiagonalWork(chart("a b c d", "f -", "f", "- f", "-", "f f"), 1)
    assert [work.row_of(number) for number in range(work.size)] == [1, 2, 3, 5, 5]
    string_2 = [number for number in range(work.size) if 2 in (work.knotting(number), work.passive(number))]
    assert string_2 == [0, 3]
    # Three rows are made, and string 2 hung loose in two of them; these and row 4 are charged to the knot of row 5.
    assert work.passive(3) == 2 or work.knotting(3) == 2
    assert lasts(work, range(work.size), 3, 2, 0, EVEN).needs_mm in (3 * 0.5 + 2.0, 3 * 0.5 + 10.0)


def test_a_string_waits_where_its_knot_was_left_out() -> None:
    work = DiagonalWork(chart("a b", "fb", "", "fb", "", "fb"), 1).made_otherwise({1: None})
    assert lasts(work, range(3), 0, 1, 0, EVEN).needs_mm == 10.0 + 3 * 0.5 + 10.0
    assert lasts(work, range(3), 1, 2, 5.5, EVEN) == Lasting(3 * 0.5 + 1.0, 2, None)
