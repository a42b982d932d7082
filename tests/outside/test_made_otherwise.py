"""A band in which knots were made otherwise is the band of another chart, which has them so.

What is drawn, counted and shown along threads must be the same for both; what rests on what stays that of the first.
"""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.orders import by_segments, can_be_followed, fewest_left, pickups
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.variegated.along import Beginnings
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.draw.layout import lay_out
from benchmate.families.diagonal.body import Diagonal, Row
from benchmate.families.diagonal.family import DIAGONAL
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import TOKENS, bodies, seeded
from tests.outside.test_variegated import variegated

LONG = (("#000000", Fraction(31)), ("#ffffff", Fraction(17)), ("#808080", Fraction(23)))


def charts(data: st.DataObject) -> tuple[Diagonal, Diagonal, dict[int, Made]]:
    """A chart, the same with other knots in some places, and the numbers of these in the first."""
    body = data.draw(bodies())
    rows, made, number = [], dict[int, Made](), 0
    for row in body.rows:
        knots = []
        for knot in row.knots:
            other = knot
            if knot is not None:
                if data.draw(st.integers(0, 3)) == 0:
                    other = made[number] = data.draw(st.sampled_from([each for each in TOKENS if each is not knot]))
                number += 1
            knots.append(other)
        rows.append(Row(row.start, tuple(knots)))
    return body, body._replace(rows=tuple(rows)), made


@seeded
@given(st.data())
def test_a_band_made_otherwise_is_that_of_another_chart(data: st.DataObject) -> None:
    body, other, made = charts(data)
    colours = {name: variegated(name, LONG) for name in "abc"} | {name: Colour(name, "#aa0000", name) for name in "def"}
    begins = Beginnings(FLOSS, 12.5)
    design = Design("Trial", DIAGONAL, colours, body, beginnings=begins)
    work = DiagonalWork(body, 1).made_otherwise(made)
    assert lay_out(design, 1, work) == lay_out(design._replace(body=other), 1)
    assert DIAGONAL.thread_use(body, 1, FLOSS, work) == DIAGONAL.thread_use(other, 1, FLOSS)
    # The same knots, without those left out.
    charted, there = DiagonalWork(body, 1), DiagonalWork(other, 1)
    tied = [number for number in range(work.size) if work.how_made(number) is not None]
    assert [work.step(number) for number in tied] == [there.step(number) for number in range(there.size)]
    assert work.at_end == there.at_end
    # A string of a knot left out shows what it shows as it hangs.
    along, along_there = design.thread_along(work), design._replace(body=other).thread_along(there)
    for number in range(work.size):
        done = sum(each < number for each in tied)
        now = along_there.now(range(done).__contains__, done)
        shown = along.of_step(number)
        assert all(now[string] == part for string, part in shown.items())
        assert [charted.rests_on(number), charted.carries(number)] == [work.rests_on(number), work.carries(number)]


@seeded
@given(st.data())
def test_it_can_be_planned_like_any_other(data: st.DataObject) -> None:
    body, _, made = charts(data)
    work = DiagonalWork(body, 2).made_otherwise(made)
    order = by_segments(work)
    assert can_be_followed(DiagonalWork(body, 2), order.sequence)
    assert pickups(work, order) == fewest_left(work)
    done = data.draw(st.integers(0, work.size))
    history = order.sequence[:done]
    assert pickups(work, by_segments(work, history), history) == fewest_left(work, history)
