"""Tied steps taken over into a changed design: the same knots on the same strings, or not at all."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import CannotEnd, Design, ending_at
from benchmate.craft.history.carry_over import carried_over
from benchmate.craft.knots import Knot
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.work import Work
from benchmate.families.alpha.body import alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.braid.body import Braid
from benchmate.families.braid.family import BRAID
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot, Row
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import TOKENS, bodies, chart, design, orders, seeded, written

OLD = design(chart("deep foam foam deep", "f b", "f"), repeats=2)
STEPS = design(written("Fold", "Pin", "Knot"))
START, FINISH = design(written("Cut", "Fold")), design(written("Plait", ("Tie", 2)))


def piece(main: Design, start: Design | None = None, finish: Design | None = None) -> WholePiece:
    return whole_piece(main, start, finish)


def taken_over(old: Design, new: Design, *history: int) -> list[int] | None:
    """The numbers of these tied steps in the new design, which has no start and no finish; None if they are not."""
    found = carried_over(piece(old), piece(new), history)
    assert found is None or found.come_out == []
    return None if found is None else found.history


@pytest.mark.parametrize(
    ("new", "history", "expected"),
    [
        (OLD, [0, 1, 2], [0, 1, 2]),
        (OLD, [], []),
        (OLD._replace(body=chart("deep foam foam deep", "f b", "b")), [1, 0], [1, 0]),
        (OLD._replace(repeats=1), [0, 1, 2], [0, 1, 2]),
        (OLD._replace(repeats=9), [0, 1, 2, 3, 4, 5], [0, 1, 2, 3, 4, 5]),
        (OLD._replace(title="Other", colours={**OLD.colours, "foam": Colour("foam", "#fff", "snow")}), [1], [1]),
        # Rows inserted after the tied ones, and rows without a knot anywhere.
        (OLD._replace(body=chart("deep foam foam deep", "f b", "f", "b b", "b"), repeats=1), [0, 1, 2], [0, 1, 2]),
        (OLD._replace(body=chart("deep foam foam deep", "- -", "-", "f b", "f"), repeats=1), [0, 1, 2], [0, 1, 2]),
        # A knot tied out of turn has another number when one is put in beside it, or taken away.
        (OLD._replace(body=chart("deep foam foam deep", "- b", "f")), [1], [0]),
        (OLD._replace(body=chart("deep foam foam deep", "f b", "f")), [1], [1]),
        # Not the same: another knot, one knot more below it, other strings, a repeat too few.
        (OLD._replace(body=chart("deep foam foam deep", "f b", "b")), [0, 1, 2], None),
        (OLD._replace(body=chart("deep foam foam deep", "f -", "f")), [0, 1, 2], None),
        (OLD._replace(body=chart("deep foam deep foam", "f b", "f")), [0], None),
        (OLD._replace(repeats=1), [0, 1, 2, 3], None),
        (STEPS, [0], None),
    ],
)
def test_tied_knots_are_taken_over_by_what_they_are(
    new: Design, history: list[int], expected: list[int] | None
) -> None:
    assert taken_over(OLD, new, *history) == expected


def test_a_knot_that_now_rests_on_an_open_one_is_not_the_same() -> None:
    old = design(chart(4, "f fb", "-", "f -"))
    new = design(chart(4, "f -", "fb", "f -"))
    assert taken_over(old, new, 0) == [0]
    assert taken_over(old, new, 0, 2) is None


def test_written_steps_are_the_same_when_they_say_the_same() -> None:
    counted = STEPS._replace(body=written("Fold", ("Twist", 3)))
    assert taken_over(STEPS, STEPS._replace(body=written("Fold", "Pin", "Trim", "Knot")), 0, 1) == [0, 1]
    assert taken_over(STEPS, STEPS._replace(body=written("Cut", "Fold", "Pin")), 0) is None
    assert taken_over(counted, counted._replace(body=written("Fold", ("Twist", 5))), 0, 1, 2) == [0, 1, 2]
    assert taken_over(counted, counted._replace(body=written("Fold", ("Twist", 1))), 0, 1, 2) is None


def of_the_tied(old: WholePiece, new: WholePiece, history: list[int]) -> tuple[list[int], list[int]] | None:
    """The tied steps by their new numbers, and those that come out."""
    carried = carried_over(old, new, history)
    return None if carried is None else (carried.history, carried.come_out)


def test_once_the_band_has_begun_the_start_is_done() -> None:
    assert of_the_tied(piece(OLD), piece(OLD, START), [0, 1]) == ([0, 1, 2, 3], [])
    assert of_the_tied(piece(OLD, START), piece(OLD), [0, 1, 2, 3]) == ([0, 1], [])
    other = design(written("Hang", "Tape", "Knot"))
    assert of_the_tied(piece(OLD, START), piece(OLD, other), [0, 1, 2]) == ([0, 1, 2, 3], [])


def test_before_the_band_has_begun_the_steps_of_the_start_are_compared() -> None:
    longer = design(written("Cut", "Fold", "Pin"))
    assert of_the_tied(piece(OLD, START), piece(OLD, longer), [0, 1]) == ([0, 1], [])
    assert of_the_tied(piece(OLD, START), piece(OLD, design(written("Fold", "Cut"))), [0]) is None
    assert of_the_tied(piece(OLD, START), piece(OLD), [0]) is None
    assert of_the_tied(piece(OLD, START), piece(OLD), []) == ([], [])


def test_the_finish_comes_out_when_the_band_goes_on_below_it() -> None:
    whole = list(range(6))
    old = piece(OLD, None, FINISH)
    assert of_the_tied(old, piece(OLD._replace(repeats=3), None, FINISH), [*whole, 6, 7]) == (whole, [7, 6])
    assert of_the_tied(old, piece(OLD, None, FINISH), [*whole, 6, 7]) == ([*whole, 6, 7], [])
    # Another finish: what was done the same stays.
    other = design(written("Plait", "Trim"))
    assert of_the_tied(old, piece(OLD, None, other), [*whole, 6, 7]) == ([*whole, 6], [7])
    assert of_the_tied(old, piece(OLD), [*whole, 6, 7]) == (whole, [7, 6])
    shorter = piece(OLD._replace(repeats=1), None, FINISH)
    assert of_the_tied(old, shorter, [0, 1, 2]) == ([0, 1, 2], [])


def test_the_other_families() -> None:
    colours = {
        name: Colour(name, value, name) for name, value in (("deep", "#013"), ("foam", "#fed"), ("rust", "#b53"))
    }
    rows = (("deep", "foam"), ("foam", "deep"))
    band = Design("Band", ALPHA, colours, alpha("deep", rows))
    longer = band._replace(body=alpha("deep", (*rows, ("rust", "rust"))))
    assert taken_over(band, longer, 0, 1, 2, 3) == [0, 1, 2, 3]
    assert taken_over(band, band._replace(body=alpha("deep", (rows[0], ("rust", "deep")))), 0, 1, 2) == [0, 1, 2]
    assert taken_over(band, band._replace(body=alpha("deep", (("rust", "foam"), rows[1]))), 0) is None
    assert taken_over(band, band._replace(body=alpha("deep", rows, "right")), 0) is None
    braid = Braid(6, ((1, "deep"), (2, "foam")), ((1, 3), (2, 4)))
    cord = Design("Cord", BRAID, colours, braid)
    assert taken_over(cord, cord._replace(body=braid._replace(moves=((1, 3), (3, 5), (2, 4)))), 0) == [0]
    assert taken_over(cord, cord._replace(body=braid._replace(moves=((1, 3), (3, 5), (2, 4)))), 0, 1) == [0, 2]
    assert taken_over(cord, cord._replace(body=braid._replace(strands=((1, "foam"), (2, "deep")))), 0) is None
    assert taken_over(cord, cord._replace(body=braid._replace(moves=((1, 5), (2, 4)))), 0) is None


def on_each_string(work: DiagonalWork, history: list[int]) -> dict[int, list[tuple[object, ...]]]:
    """What was done to each string, in turn: the knot, its pair and both strings."""
    found: dict[int, list[tuple[object, ...]]] = {}
    for number in sorted(history):
        step = work.step(number)
        assert isinstance(step, DiagonalKnot)
        for string in (step.left_string, step.right_string):
            found.setdefault(string, []).append(step[1:])
    return found


def changed_elsewhere(chance: Random, body: Diagonal, work: DiagonalWork, tied: list[int]) -> Diagonal:
    """Other knots wherever no tied knot rests on them, rows without a knot, and rows more or fewer at the end."""
    last = dict.fromkeys(range(1, len(body.strings) + 2), 0)
    for number in tied:
        step = work.step(number)
        assert isinstance(step, DiagonalKnot)
        for position in step.pair:
            last[position] = max(last[position], step.row)
    rows: list[Row] = []
    for at, row in enumerate(body.rows, 1):
        if at > max(last.values()) and chance.random() < 0.3:
            continue
        knots: list[Knot | None] = []
        for left, knot in zip(range(row.start, len(body.strings), 2), row.knots, strict=True):
            free = at > max(last[left], last[left + 1])
            knots.append(chance.choice(TOKENS) if free else knot)
        if chance.random() < 0.3:
            rows.append(Row(1, (None,) * (len(body.strings) // 2)))
        rows.append(Row(row.start, tuple(knots)))
    return body._replace(rows=(*rows, *(row for row in body.rows if chance.random() < 0.5)))


@seeded
@given(bodies(), st.data())
def test_what_changes_elsewhere_leaves_every_tied_knot_the_same(body: Diagonal, data: st.DataObject) -> None:
    work = DiagonalWork(body, 1)
    tied = list(data.draw(orders(work)).sequence[: data.draw(st.integers(0, work.size))])
    chance = Random(data.draw(st.integers(0, 1 << 32)))
    new = changed_elsewhere(chance, body, work, tied)
    found = carried_over(piece(design(body)), piece(design(new)), tied)
    assert found is not None
    other = DiagonalWork(new, 1)
    assert on_each_string(other, found.history) == on_each_string(work, tied)
    assert len(set(found.history)) == len(tied)
    # In the same turn, and back again.
    steps = [(work.step(one), other.step(two)) for one, two in zip(tied, found.history, strict=True)]
    assert all(one[1:] == two[1:] for one, two in steps if isinstance(one, tuple) and isinstance(two, tuple))
    back = carried_over(piece(design(new)), piece(design(body)), found.history)
    assert back is not None
    assert back.history == tied


@seeded
@given(bodies(), bodies(), st.data())
def test_nothing_is_taken_over_into_other_knots(body: Diagonal, new: Diagonal, data: st.DataObject) -> None:
    new = new._replace(strings=body.strings) if len(new.strings) == len(body.strings) else new
    work = DiagonalWork(body, 1)
    tied = list(data.draw(orders(work)).sequence[: data.draw(st.integers(0, work.size))])
    found = carried_over(piece(design(body)), piece(design(new)), tied)
    if found is not None:
        assert on_each_string(DiagonalWork(new, 1), found.history) == on_each_string(work, tied)


# Ending at a row.


def shape(work: Work) -> list[tuple[object, ...]]:
    return [(work.step(number), work.rests_on(number)) for number in range(work.size)]


@seeded
@given(bodies(), st.integers(1, 20))
def test_a_piece_that_ends_at_a_row_is_the_beginning_of_one_with_more_repeats(body: Diagonal, rows: int) -> None:
    repeats = -(-rows // len(body.rows))
    if repeats > 1 and body.rows[0].start == body.rows[-1].start:
        with pytest.raises(CannotEnd, match="cannot repeat"):
            ending_at(design(body), rows)
        return
    whole, cut = DiagonalWork(body, repeats), piece(ending_at(design(body, 7), rows)).main.work
    assert cut.rows == rows
    assert shape(cut) == shape(whole)[: cut.size]
    assert cut.size == whole.span(rows).end


def test_a_picture_ends_at_a_row_on_either_side() -> None:
    band = Design("Band", ALPHA, {}, alpha("a", (("a", "b"), ("b", "b"), ("a", "a"))))
    for rows in range(1, 10):
        cut = piece(ending_at(band, rows)).main.work
        assert shape(cut) == shape(piece(band._replace(repeats=3)).main.work)[: 2 * rows]


@pytest.mark.parametrize(("rows", "why"), [(0, "from 1"), (200_001, "from 1"), (150_000, "more than 200000")])
def test_a_row_that_no_piece_can_end_at(rows: int, why: str) -> None:
    with pytest.raises(CannotEnd, match=why):
        ending_at(OLD, rows)


def test_a_braid_is_worked_in_whole_repeats() -> None:
    with pytest.raises(CannotEnd, match="whole repeats"):
        ending_at(Design("Cord", BRAID, {}, Braid(4, ((1, "a"),), ((1, 2), (2, 1)))), 1)
