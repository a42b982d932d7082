"""Ways of working: from the right, and mirrored."""

from hypothesis import given

from benchmate.craft.design import work_for
from benchmate.craft.knots import MIRRORED
from benchmate.craft.orders import by_rows, by_segments
from benchmate.craft.progress import hanging_after
from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.ways import Way, mirrored, order_of, way_for, worked_as
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import bodies, chart, design, seeded, written


@given(bodies())
@seeded
def test_mirroring_twice_gives_the_design_itself(body: object) -> None:
    one = design(body)  # type: ignore[arg-type]
    assert mirrored(mirrored(one)) == one


@given(bodies())
@seeded
def test_the_mirror_image_has_every_knot_on_the_other_side(body: object) -> None:
    one = design(body, repeats=1)  # type: ignore[arg-type]
    image = mirrored(one)
    strings = len(one.strings)
    plain, facing = work_for(one), work_for(image)
    assert facing.strings == plain.strings[::-1]

    def knots(work: object, other_side: bool) -> set[tuple[int, int, str, int]]:
        assert isinstance(work, DiagonalWork)
        found = set()
        for number in range(work.size):
            knot = work.step(number)
            assert knot.knot is not None
            if other_side:
                facing = MIRRORED[knot.knot]
                assert facing is not None
                found.add((knot.row, strings - knot.left, facing.value, strings + 1 - knot.knotting))
            else:
                found.add((knot.row, knot.left, knot.knot.value, knot.knotting))
        return found

    assert knots(facing, True) == knots(plain, False)
    # Seen in the mirror, the strings hang as they do in the band itself.
    hanging = [hanging_after(each, by_rows(each), range(each.size)) for each in (plain, facing)]
    assert [strings + 1 - string for string in reversed(hanging[1])] == hanging[0]


def test_from_the_right_every_row_is_reversed() -> None:
    band = DiagonalWork(chart(6, "f b f", "f b", "b b b"), 1)
    order = by_rows(band, from_right=True)
    assert [(knot.row, knot.left) for knot in map(band.step, order.sequence)] == [
        *((1, 5), (1, 3), (1, 1)),
        *((2, 4), (2, 2)),
        *((3, 5), (3, 3), (3, 1)),
    ]
    assert [order.sequence[place] for place in order.place] == list(range(band.size))


def test_from_the_right_written_steps_keep_their_order() -> None:
    whole = whole_piece(design(chart(4, "f b", "f")), design(written("Fold", "Pin")), design(written("Tie", "Cut")))
    steps = [whole.step(number) for number in by_rows(whole, from_right=True).sequence]
    assert [getattr(step, "left", None) or getattr(step, "do", None) for step in steps] == [
        *("Fold", "Pin"),
        *(3, 1, 2),
        *("Tie", "Cut"),
    ]


def test_segments_lie_between_start_and_finish() -> None:
    whole = whole_piece(design(chart(4, "f b", "f", "f f")), design(written("Fold")), design(written("Tie")))
    alone = by_segments(DiagonalWork(chart(4, "f b", "f", "f f"), 1))
    assert list(by_segments(whole).sequence) == [0, *(1 + number for number in alone.sequence), whole.size - 1]
    some = [0, *(1 + number for number in alone.sequence[:2])]
    assert list(by_segments(whole, some).sequence) == list(by_segments(whole).sequence)


def test_a_way_in_words() -> None:
    assert Way().words == "by rows"
    assert Way("segments", True, True).words == "by segments, from the right, mirrored"


def test_only_diagonal_bands_have_several_ways() -> None:
    steps, band = design(written("Fold", "Knot")), design(chart(3, "f", "b"))
    chosen = Way("segments", True, True)
    assert way_for(steps, chosen) == Way()
    assert way_for(band, chosen) == chosen
    assert worked_as(steps, chosen) == steps
    assert worked_as(band, chosen) == mirrored(band)
    assert worked_as(band, Way("segments", True)) == band
    assert order_of(work_for(steps), Way()).by == "rows"
    assert order_of(work_for(band), chosen).by == "segments"
