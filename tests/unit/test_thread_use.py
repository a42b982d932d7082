"""What every string does, and how long to cut it."""

from collections import Counter
from collections.abc import Mapping
from math import ceil, hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmate.craft.design import Design, ending_at
from benchmate.craft.knots import Knot
from benchmate.craft.thread.counts import BandUse, Counts
from benchmate.craft.thread.cut_list import NothingToCut, cut_list, rounded_up
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS, Gauge
from benchmate.craft.ways import NAMES, Way, order_of
from benchmate.design_files.load import load, parse
from benchmate.families.alpha.body import alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.braid.body import Braid
from benchmate.families.braid.family import BRAID
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot, Row, pairs_that_fit, usual_start
from benchmate.families.diagonal.family import DIAGONAL
from tests.charts import seeded

CHEVRON = """\
benchmate: 1
title: Tidewater chevron
family: diagonal
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
strings: [deep, foam, foam, deep]
rows: [f b, f, fb bf, "-"]
repeats: 2
"""
FOLDED = """\
benchmate: 1
title: Fold
family: steps
colours: {deep: navy}
doubled: true
steps: [{do: Fold}]
"""


def design(text: str) -> Design:
    """The design in a text."""
    found, problems = parse(text)
    assert found is not None, problems
    return found


def use_of(found: Design, repeats: int | None = None, gauge: Gauge = FLOSS) -> BandUse:
    """What its strings do."""
    use = found.family.thread_use(found.body, repeats or found.repeats, gauge)
    assert use is not None
    return use


def test_counts_of_a_small_band() -> None:
    """Counted by hand.

    Strings 1 2 3 4; row 1: 1 over 2, 4 over 3, so they hang 2 1 4 3; row 2: 1 over 4: 2 4 1 3; row 3: fb on 2 4, bf on
    1 3, where 2 and 3 knot and all stay; row 4 is left out. Then once more, from 2 4 1 3: 2 over 4, 3 over 1: 4 2 3 1;
    2 over 3: 4 3 2 1; 4 over 3, 1 over 2.
    """
    use = use_of(design(CHEVRON))
    assert use.rows == 8
    assert use.band_mm == pytest.approx(8 * 1.3)
    assert {each.string: each.counts for each in use.strings} == {
        1: Counts(made=3, carried=1, stayed=1, waited=3),
        2: Counts(made=3, carried=1, stayed=1, waited=3),
        3: Counts(made=2, carried=2, stayed=1, waited=3),
        4: Counts(made=2, carried=2, stayed=1, waited=3),
    }
    assert [each.colour for each in use.strings] == ["deep", "foam", "foam", "deep"]


def test_the_cut_list_of_that_band() -> None:
    cuts = cut_list(design(CHEVRON), Estimate())
    first = cuts.strings[0]
    needs = 3 * 10.5 + 1.95 + 1.4 + 3 * 1.3
    assert first.needs_mm == pytest.approx(needs)
    assert first.spare_mm == pytest.approx(0.2 * needs)
    assert first.cut_mm == ceil((1.2 * needs + 250) / 10) * 10 == 300
    assert [(piece.colour, piece.strings, piece.cut_mm) for piece in cuts.pieces] == [
        ("deep", (1,), 300),
        ("foam", (2,), 300),
        ("foam", (3,), 290),
        ("deep", (4,), 290),
    ]
    assert cuts.colours == {"deep": 590, "foam": 590}
    assert (cuts.leading, cuts.estimated) == ((), False)


@pytest.mark.parametrize(
    ("mm", "up"),
    [(940, 940), (940.000000001, 940), (940.001, 950), (0, 0), (0.1 + 0.2, 10), (10 * 1.1 * 100 / 11, 100)],
)
def test_lengths_are_rounded_up_to_a_centimetre(mm: float, up: float) -> None:
    """A floating error is no centimetre: 10 · 1.1 · 100 / 11 is a little more than 100."""
    assert rounded_up(mm) == up


def test_folded_strings_are_taken_two_by_two_longest_first() -> None:
    rows = "rows: [f f -, '- -']\n"
    text = CHEVRON.replace('rows: [f b, f, fb bf, "-"]\n', rows).replace("repeats: 2", "repeats: 6")
    text = text.replace("[deep, foam, foam, deep]", "[deep, foam, deep, deep, foam, deep]")
    found, start = design(text), design(FOLDED)
    cut = {each.string: each.cut_mm for each in cut_list(found, Estimate()).strings}
    assert cut == {1: 310, 2: 310, 3: 310, 4: 310, 5: 270, 6: 270}
    folded = cut_list(found, Estimate(), start=start)
    assert [(piece.colour, piece.strings, piece.cut_mm) for piece in folded.pieces] == [
        ("deep", (1, 3), 620),
        ("deep", (4, 6), 580),
        ("foam", (2, 5), 580),
    ]
    # A fold in the middle would leave 290 mm where 310 are needed.
    assert [folded.fold_mm(piece) for piece in folded.pieces] == [None, 310, 310]
    odd = cut_list(design(text.replace("foam, deep]", "deep, deep]")), Estimate(), start=start)
    assert [piece.strings for piece in odd.pieces] == [(1, 3), (4, 5), (6,), (2,)]
    assert odd.pieces[2].cut_mm == 270
    assert odd.fold_mm(odd.pieces[2]) is None


def test_a_start_and_a_finish_say_what_they_use() -> None:
    found, plain = design(CHEVRON), cut_list(design(CHEVRON), Estimate()).strings[0]
    start = design(FOLDED.replace("doubled: true", "uses: 40.5"))
    finish = design(FOLDED.replace("doubled: true", "uses: 0"))
    inside = plain.needs_mm + plain.spare_mm
    for before, after, ends in ((None, None, 250), (start, None, 190.5), (None, finish, 100), (start, finish, 40.5)):
        cuts = cut_list(found, Estimate(), start=before, finish=after)
        assert cuts.strings[0].cut_mm == rounded_up(inside + ends)


def test_written_steps_alone_have_nothing_to_cut() -> None:
    with pytest.raises(NothingToCut, match=r"^written steps alone have no strings to cut$"):
        cut_list(design(FOLDED.replace("doubled: true", "strings: [deep, deep]")), Estimate())


def test_a_piece_that_ends_within_a_repeat() -> None:
    found = design(CHEVRON)
    short = cut_list(found, Estimate(), repeats=-6)
    assert short.strings == cut_list(ending_at(found, 6), Estimate()).strings
    assert sum(short.strings[0].counts) == 6
    assert short.band_mm == pytest.approx(6 * 1.3)


def test_a_picture() -> None:
    """Counted by hand: a light one knot wide at columns 1 and 3 of two rows; the row turns at the right.

    Row 1: o . o; row 2, worked to the left: . . o from the right. Light: the knot in column 1, then column 3, and then
    row 2. One string makes both: it waits at side 1, and is wanted at side 2.
    """
    body = alpha("dusk", (("lamp", "dusk", "lamp"), ("lamp", "dusk", "dusk")))
    use = ALPHA.thread_use(body, 1, FLOSS)
    assert [(each.string, each.counts, each.needs_mm) for each in use.strings] == [
        (string, Counts(stayed=2), 2 * 1.9) for string in (1, 2, 3)
    ]
    assert use.band_mm == 2 * 1.9
    wide, high = 2.45, 1.9
    # Lamp: columns 1, 3, then 1 again: from side 1 to 2, then from side 3 in row 1 to side 1 in row 2.
    # Dusk: column 2, then columns 3 and 2 of row 2: from side 2 in row 1 to side 3 in row 2.
    assert [(each.leading, each.colour, each.knots) for each in use.leading] == [(1, "lamp", 3), (2, "dusk", 3)]
    lamp = wide + hypot(2 * wide, high)
    assert use.leading[0].floats_mm == pytest.approx(lamp)
    assert use.leading[1].floats_mm == pytest.approx(hypot(wide, high))
    cuts = cut_list(Design("Lamps", ALPHA, {}, body), Estimate())
    assert cuts.leading[0].needs_mm == pytest.approx(3 * 10.5 + lamp)
    assert cuts.leading[0].spare_mm == pytest.approx(0.2 * (3 * 10.5 + lamp))
    assert cuts.leading[0].cut_mm == ceil((1.2 * (3 * 10.5 + lamp) + 180) / 10) * 10
    assert cuts.strings[0].cut_mm == ceil((1.2 * 2 * 1.9 + 250) / 10) * 10
    assert [length.leading for length in cuts.lengths] == [None, None, None, 1, 2]
    assert cuts.colours["dusk"] == 3 * cuts.strings[0].cut_mm + cuts.leading[1].cut_mm


class _Learned:
    """What was learned, made up: a spare of 1 mm a knot."""

    is_far_off = False

    def spare_mm(self, counts: Counts) -> float:
        return float(counts.made)

    def range_mm(self, field: str) -> tuple[float, float] | None:
        return None


def test_the_spare_of_a_picture_once_something_was_measured() -> None:
    """Of a base string it stays 0.2; of a leading string only its knots vary, its floats are certain."""
    body = alpha("dusk", (("lamp", "dusk", "lamp"), ("lamp", "dusk", "dusk")))
    cuts = cut_list(Design("Lamps", ALPHA, {}, body), Estimate(FLOSS._replace(seen=7), _Learned()))
    assert [each.spare_mm for each in cuts.strings] == [pytest.approx(0.2 * 2 * 1.9)] * 3
    assert [each.spare_mm for each in cuts.leading] == [3, 3]


MOORING = load("mooring-line").design


def test_a_braid() -> None:
    use = use_of(MOORING)
    assert use.estimated
    body = MOORING.body
    assert isinstance(body, Braid)
    assert sum(each.moves or 0 for each in use.strings) == len(body.moves) * MOORING.repeats
    assert [each.slot for each in use.strings] == [each.string for each in use.strings] == [1, 8, 9, 16, 17, 24, 25, 32]
    # All move alike, at 45 degrees: every strand is longer than the braid by the square root of 2.
    assert {round((each.needs_mm or 0) / use.band_mm, 9) for each in use.strings} == {round(2**0.5, 9)}


@pytest.mark.parametrize("name", ["mooring-line", "flat-plait-of-five", "four-square-cord", "seven-round-a-card"])
def test_a_braid_grows_in_proportion_to_its_repeats(name: str) -> None:
    found = load(name).design
    once = use_of(found, 1)
    for repeats in (2, 3, 7):
        more = use_of(found, repeats)
        assert more.band_mm == pytest.approx(repeats * once.band_mm)
        for one, other in zip(once.strings, more.strings, strict=True):
            assert other.needs_mm == pytest.approx(repeats * (one.needs_mm or 0))
            assert (other.needs_mm or 0) >= more.band_mm


def test_a_strand_that_is_never_moved_is_as_long_as_the_braid() -> None:
    body = Braid(6, ((1, "a"), (2, "b"), (4, "c")), ((1, 6), (6, 1)))
    use = BRAID.thread_use(body, 5, FLOSS)
    moved, still, other = use.strings
    assert (moved.moves, still.moves, other.moves) == (10, 0, 0)
    assert still.needs_mm == pytest.approx(use.band_mm)
    assert moved.needs_mm is not None
    assert moved.needs_mm > use.band_mm
    # Where the strands do not come to lie as they began, all are taken to move alike.
    odd = BRAID.thread_use(Braid(6, ((1, "a"), (2, "b")), ((1, 6),)), 1, FLOSS)
    assert odd.strings[0].needs_mm == odd.strings[1].needs_mm


@st.composite
def diagonals(draw: st.DrawFn) -> Diagonal:
    """Bands of up to seven strings whose rows can repeat, with rows that start anywhere."""
    strings = draw(st.integers(2, 7))
    knots = st.sampled_from((*Knot, None))
    rows = []
    for number in range(1, draw(st.integers(1, 8)) * 2 + 1):
        start = draw(st.sampled_from((usual_start(number), draw(st.integers(1, strings)))))
        fit = pairs_that_fit(strings, start)
        rows.append(Row(start, tuple(draw(st.lists(knots, min_size=fit, max_size=fit)))))
    return Diagonal(tuple(draw(st.sampled_from("abc")) for _ in range(strings)), tuple(rows))


def recounted(body: Diagonal, repeats: int, way: Way) -> Mapping[int, list[int]]:
    """The knots each string makes, is carried in and stays in, in a way of working, from the steps themselves."""
    work = DIAGONAL.work(body, repeats)
    found: dict[int, list[int]] = {string: [0, 0, 0] for string in range(1, len(body.strings) + 1)}
    for number in order_of(work, way).sequence:
        step = work.step(number)
        assert isinstance(step, DiagonalKnot)
        found[step.knotting][0] += 1
        found[step.passive][1 if step.knot and step.knot.swaps else 2] += 1
    return found


@settings(seeded, max_examples=20)
@given(diagonals(), st.integers(1, 3))
def test_thread_does_not_depend_on_the_way_of_working(body: Diagonal, repeats: int) -> None:
    use = DIAGONAL.thread_use(body, repeats, FLOSS)
    for by in NAMES:
        for from_right in (False, True):
            found = recounted(body, repeats, Way(by, from_right))
            assert {each.string: [*each.counts[:3]] for each in use.strings} == found
    mirrored = DIAGONAL.thread_use(DIAGONAL.mirrored(body), repeats, FLOSS)
    assert [each.counts for each in mirrored.strings] == [each.counts for each in reversed(use.strings)]


@settings(seeded, max_examples=25)
@given(diagonals(), st.integers(1, 4))
def test_nothing_is_lost(body: Diagonal, repeats: int) -> None:
    """Of every string A + C + S + W = rows; over all strings, knots made = carried + stayed = the knots there are."""
    use = DIAGONAL.thread_use(body, repeats, FLOSS)
    assert use.rows == repeats * len(body.rows)
    total = Counter[str]()
    for each in use.strings:
        assert sum(each.counts) == use.rows
        assert min(each.counts) >= 0
        total.update(each.counts._asdict())
    knots = repeats * DIAGONAL.steps_per_repeat(body)
    assert total["made"] == total["carried"] + total["stayed"] == knots


@settings(seeded, max_examples=20)
@given(diagonals(), st.integers(1, 4))
def test_more_repeats_of_a_band_never_need_less(body: Diagonal, repeats: int) -> None:
    few, more = (cut_list(Design("A", DIAGONAL, {}, body), Estimate(), repeats=n) for n in (repeats, repeats + 1))
    for one, other in zip(few.strings, more.strings, strict=True):
        assert one.needs_mm <= other.needs_mm
        assert one.spare_mm <= other.spare_mm
        assert one.cut_mm <= other.cut_mm
    assert few.band_mm < more.band_mm
    assert sum(few.colours.values()) <= sum(more.colours.values())


charts = st.integers(1, 6).flatmap(
    lambda columns: st.lists(st.tuples(*[st.sampled_from("abc")] * columns), min_size=1, max_size=5)
)


@settings(seeded, max_examples=20)
@given(charts, st.sampled_from(["left", "right"]), st.integers(1, 3))
def test_more_repeats_of_a_picture_never_need_less(chart: list[tuple[str, ...]], first: str, repeats: int) -> None:
    body = alpha("a", tuple(chart), first)
    few, more = (cut_list(Design("A", ALPHA, {}, body), Estimate(), repeats=n) for n in (repeats, repeats + 1))
    for one, other in zip(few.strings, more.strings, strict=True):
        assert one.needs_mm <= other.needs_mm
        assert one.cut_mm <= other.cut_mm
    assert sum(each.knots for each in few.leading) == repeats * len(chart) * len(chart[0])
    assert sum(each.knots for each in more.leading) == (repeats + 1) * len(chart) * len(chart[0])
    assert len(few.leading) <= len(more.leading)
    # Fewer strings can have more thread in floats, but never more than that and their ends.
    in_all = [sum(each.needs_mm + each.spare_mm + 2 * 90 for each in cuts.leading) for cuts in (few, more)]
    assert in_all[0] < in_all[1]
