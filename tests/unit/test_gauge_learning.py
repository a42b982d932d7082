"""How a gauge learns: simulated makers, mistaken entries, tension, numbers that stay above 0, and lengths."""

import math
from random import Random
from statistics import mean, pstdev

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.estimate import UNSEEN_SHARE, Estimate
from benchmate.craft.thread.gauge import FLOSS, Gauge
from benchmate.craft.thread.kinds import KINDS, SLIPPERY, scaled, thickness_of_tex
from benchmate.craft.thread.learning import measured_strings, posterior
from benchmate.craft.thread.learning.learned import LearnedGauge, learned, quantile
from benchmate.craft.thread.learning.measured_lengths import learned_length
from benchmate.craft.thread.learning.positive import nearest_positive
from benchmate.craft.thread.learning.prior import UNKNOWN
from benchmate.craft.thread.observations import ALPHA_ROWS, BASE, ROWS, WIDE, Measured, Seen, Used
from tests.charts import seeded
from tests.measure.makers import MISTAKEN, Outcome, World, followed
from tests.measure.table import p95

MAKERS, PIECES = 24, 5
NUMBERS = [field for field in Gauge._fields if field.endswith("_mm")]


def needs(gauge: Gauge, counts: Counts) -> float:
    """What a string needs by a gauge, mm."""
    constants = gauge.made_mm, gauge.carried_mm, gauge.stayed_mm, gauge.waited_mm
    return math.fsum(count * constant for count, constant in zip(counts, constants, strict=True))


def used(counts: Counts, share: float = 1.0) -> Used:
    """A string that used this share of what the shipped constants say."""
    return Used(counts, share * needs(FLOSS, counts))


def estimate(found: LearnedGauge) -> Estimate:
    """What follows for the cut list."""
    return Estimate(found.gauge, found)


# Simulated makers


def makers(*after: int) -> Outcome:
    """What becomes of simulated makers, the same in every run."""
    return followed(MAKERS, PIECES, World(), 4, after=after, every=False, tried=6)


def misses(outcome: Outcome) -> list[str]:
    """What the makers' cut lists do not keep of what is asked of them."""
    found, margins = [], []
    for after in sorted({look.after for look in outcome.looks}):
        looks = [look for look in outcome.looks if look.after == after]
        margins.append(mean(look.margin for look in looks))
        if after:
            errors, most = [look.error for look in looks], 0.1 if after < PIECES else 0.04
            found += [f"mean error after {after}"] * (mean(errors) >= most)
            found += [f"95 % error after {after}"] * (p95(errors) >= most)
            found += [f"strings run short after {after}"] * (mean(look.short for look in looks) >= 1 / 50)
    return found + ["the margin shrinks"] * (margins != sorted(margins, reverse=True))


def test_cut_lists_of_simulated_makers_come_near_and_last() -> None:
    outcome = makers(0, 1, PIECES)
    assert not misses(outcome)
    # The mistaken entries and the tension are really there.
    assert outcome.mistakes / outcome.strings == pytest.approx(MISTAKEN, rel=0.3)
    assert pstdev(outcome.tensions) == pytest.approx(0.04, rel=0.1)


def test_one_who_trusts_every_entry_misses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(measured_strings, "_right", lambda off, variance, ratio: 1.0)
    # What is doubted about every string makes up for what is not doubted about mistaken ones.
    assert "the margin shrinks" in misses(makers(0, PIECES))


def test_one_who_knows_no_tension_misses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(posterior, "TENSION", (1e-4, 0.1))
    widest = posterior.WIDEST._replace(ratio=math.log(1e-4 / 0.03), ratio_step=0.1)
    monkeypatch.setattr("benchmate.craft.thread.learning.learned.WIDEST", widest)
    assert f"strings run short after {PIECES}" in misses(makers(PIECES))


# Mistaken entries


BAND = [Counts(50, 40, 0, 20), Counts(40, 50, 10, 10), Counts(60, 20, 20, 10), Counts(30, 60, 0, 20)]


@pytest.mark.parametrize("factor", [0.1, 0.5, 2.0, 8.0])
def test_one_entry_that_is_far_off_changes_little(factor: float) -> None:
    good = [[used(counts, 1.1) for counts in BAND] for _ in range(2)]
    bad = [[*good[0][:3], used(BAND[3], 1.1 * factor)], good[1]]
    right, wrong = learned(FLOSS, good), learned(FLOSS, bad)
    for counts in BAND:
        assert needs(wrong.gauge, counts) == pytest.approx(needs(right.gauge, counts), rel=0.02)


def test_all_entries_far_off_are_another_thread() -> None:
    found = learned(FLOSS, [[used(counts, 2.2) for counts in BAND] for _ in range(3)])
    for counts in BAND:
        assert needs(found.gauge, counts) == pytest.approx(2.2 * needs(FLOSS, counts), rel=0.06)


def test_one_odd_string_of_a_known_thread_is_doubted_and_of_an_unknown_thread_believed() -> None:
    seen = [[used(BAND[0], 2.0)]]
    known, unknown = (needs(learned(FLOSS, seen, wide=wide).gauge, BAND[0]) for wide in (0.001, UNKNOWN))
    assert 1 < known / needs(FLOSS, BAND[0]) < 1.25
    assert 1.85 < unknown / needs(FLOSS, BAND[0]) < 2


# What is always so


counts_of_any_string = st.builds(Counts, *[st.integers(0, 300)] * 4).filter(any)
any_piece = st.lists(
    st.one_of(
        st.builds(used, counts_of_any_string, st.floats(0.05, 20)),
        st.builds(Measured, st.sampled_from([ROWS, ALPHA_ROWS, BASE, WIDE]), st.integers(1, 200), st.floats(1, 900)),
    ),
    max_size=5,
)


@settings(seeded, max_examples=15)
@given(st.lists(any_piece, max_size=4), st.randoms(use_true_random=False))
def test_whatever_is_entered_in_whatever_order(pieces: list[list[Seen]], chance: Random) -> None:
    found = learned(FLOSS, pieces)
    assert all(getattr(found.gauge, field) > 0 for field in NUMBERS)
    assert found.gauge.seen == sum(isinstance(each, Used) or each.what == BASE for piece in pieces for each in piece)
    for counts in BAND:
        assert estimate(found).needs_mm(counts) == pytest.approx(needs(found.gauge, counts))
        assert estimate(found).spare_mm(counts) >= 0
    shuffled = [chance.sample(piece, len(piece)) for piece in chance.sample(pieces, len(pieces))]
    assert learned(FLOSS, shuffled).gauge == found.gauge


def test_nothing_seen_leaves_the_spare_a_fifth_of_the_need() -> None:
    assert learned(FLOSS, []).gauge == FLOSS
    only_rows = learned(FLOSS, [[Measured(ROWS, 40, 60.0)]])
    assert (only_rows.gauge.seen, only_rows.gauge.made_mm) == (0, FLOSS.made_mm)
    for counts in BAND:
        assert estimate(only_rows).spare_mm(counts) == UNSEEN_SHARE * needs(FLOSS, counts)


def test_a_string_that_does_nothing_needs_nothing_to_spare() -> None:
    assert estimate(learned(FLOSS, [[used(BAND[0])]])).spare_mm(Counts()) == 0


def test_more_pieces_make_surer() -> None:
    margins, ranges = [], []
    for pieces in (1, 3, 10, 30):
        found = learned(FLOSS, [[used(counts, 1.05) for counts in BAND] for _ in range(pieces)])
        margins.append(found.spare_mm(BAND[0]))
        low, high = found.range_mm("made_mm") or (0.0, 0.0)
        assert low < found.gauge.made_mm < high
        ranges.append(high - low)
    assert margins == sorted(margins, reverse=True)
    assert ranges == sorted(ranges, reverse=True)


def test_many_pieces_are_learned_from_as_few_are(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond some pieces, most strings are judged once only, by what some of them say."""
    chance = Random(6)
    pieces = []
    for _ in range(60):
        day = chance.gauss(1.1, 0.04)
        piece = [used(counts, day * chance.gauss(1, 0.03)) for counts in BAND]
        pieces.append([*piece[:3], used(BAND[3], day * (2 if chance.random() < 0.1 else 1))])
    quick = learned(FLOSS, pieces)
    monkeypatch.setattr("benchmate.craft.thread.learning.learned._FIRST_PIECES", 1000)
    whole = learned(FLOSS, pieces)
    for counts in BAND:
        assert needs(quick.gauge, counts) == pytest.approx(1.1 * needs(FLOSS, counts), rel=0.03)
        assert needs(quick.gauge, counts) == pytest.approx(needs(whole.gauge, counts), rel=1e-3)
        assert quick.spare_mm(counts) == pytest.approx(whole.spare_mm(counts), rel=0.03)


def test_made_and_carried_hardly_separate_while_their_sum_does() -> None:
    """Why the spare is taken from the need as a whole: where they always go together, only the sum is learned."""
    found = learned(FLOSS, [[used(Counts(50, 50), 1.1), used(Counts(30, 30), 1.1)] for _ in range(20)])
    low, high = found.range_mm("carried_mm") or (0.0, 0.0)
    assert (high - low) / found.gauge.carried_mm > 0.3
    assert found.spare_mm(Counts(40, 40)) / needs(found.gauge, Counts(40, 40)) < 0.08


def test_entries_that_only_numbers_below_0_explain() -> None:
    # By these a knot carried would give thread back.
    strings = [Used(Counts(made, carried), made * 10.5 - carried * 0.2) for made, carried in ((50, 0), (50, 50))]
    found = learned(FLOSS, [strings for _ in range(60)])
    assert all(getattr(found.gauge, field) > 0 for field in NUMBERS)
    assert found.gauge.carried_mm < 0.2
    for string in strings:
        # As near as numbers above 0 can come to 525 and 515 mm.
        assert needs(found.gauge, string.counts) == pytest.approx(string.mm, rel=0.04)


def test_where_one_constant_is_held_the_others_move_with_it() -> None:
    mean_, covariance = [1.0, -0.2], [[1.0, -0.8], [-0.8, 1.0]]
    assert nearest_positive(mean_, covariance, 0.1) == pytest.approx([1 - 0.8 * 0.3, 0.1])
    assert nearest_positive([0.5, 0.4], covariance, 0.1) == [0.5, 0.4]
    assert nearest_positive([-1.0, -1.0], [[1.0, 0.0], [0.0, 1.0]], 0.1) == [0.1, 0.1]


def test_points_of_a_mixture() -> None:
    assert quantile([(1.0, 3.0, 2.0)], 0.975) == pytest.approx(3 + 2 * 1.959963984540054)
    assert quantile([(0.5, -1.0, 1.0), (0.5, 1.0, 1.0)], 0.5) == pytest.approx(0, abs=1e-9)


# Lengths


def test_rows_and_knots_are_learned_from_lengths_alone() -> None:
    found = learned(FLOSS, [[Measured(ROWS, 60, 96.0), Measured(WIDE, 10, 27.0)]])
    assert FLOSS.row_mm < found.gauge.row_mm < 1.6
    assert FLOSS.wide_mm < found.gauge.wide_mm < 2.7
    assert found.gauge.row_mm == pytest.approx(1.6, rel=0.03)
    low, high = found.range_mm("row_mm") or (0.0, 0.0)
    assert low < 1.6 < high
    assert found.range_mm("start_mm") is None
    assert found.gauge._replace(row_mm=1.3, wide_mm=2.45) == FLOSS


def test_a_ruler_held_beside_few_rows_says_less_than_beside_many() -> None:
    few, many = (learned_length(1.3, ROWS, [[Measured(ROWS, rows, rows * 1.6)]]) for rows in (4, 100))
    assert few is not None
    assert many is not None
    assert 1.3 < few.mm < many.mm < 1.6


def test_one_length_that_is_far_off_changes_little() -> None:
    lengths = [84.0, 84.0, 84.0, 84.0, 300.0]
    right, wrong = (
        learned_length(1.3, ROWS, [[Measured(ROWS, 60, mm)] for mm in some]) for some in (lengths[:4], lengths)
    )
    assert right is not None
    assert wrong is not None
    assert wrong.mm == pytest.approx(right.mm, rel=0.01)


def test_measuring_one_piece_often_is_not_measuring_many_pieces() -> None:
    often = learned_length(1.3, ROWS, [[Measured(ROWS, rows, rows * 1.5) for rows in (20, 40, 60)]])
    many = learned_length(1.3, ROWS, [[Measured(ROWS, rows, rows * 1.5)] for rows in (20, 40, 60)])
    assert often is not None
    assert many is not None
    assert often.range_mm[1] - often.range_mm[0] > many.range_mm[1] - many.range_mm[0]


def test_alpha_rows_and_base_strings_teach_the_base() -> None:
    for what in (ALPHA_ROWS, BASE):
        found = learned(FLOSS, [[Measured(what, 80, 80 * 2.3)] for _ in range(3)])
        assert found.gauge.base_mm == pytest.approx(2.3, rel=0.05)
        assert found.gauge.seen == (3 if what == BASE else 0)


# Kinds


def test_floss_has_the_shipped_values() -> None:
    assert next(iter(KINDS)) == "floss"
    assert KINDS["floss"].gauge == FLOSS == Gauge()
    assert KINDS["variegated"].gauge == FLOSS._replace(name="variegated")


def test_numbers_grow_with_the_thickness_but_for_the_ends() -> None:
    double = scaled("rope", 1.44)
    for field in NUMBERS:
        same = field in ("start_mm", "finish_mm", "hold_mm", "tail_mm")
        assert getattr(double, field) == pytest.approx(getattr(FLOSS, field) * (1 if same else 2))


def test_thickness_of_a_weight() -> None:
    # Peirce: a cotton yarn of 100 tex is 0.373 mm thick; d = 1/(28·√Ne) inch with Ne = 590.5/tex.
    assert thickness_of_tex(100) == pytest.approx(0.373, abs=5e-4)
    for tex in (20.0, 150.0, 900.0):
        assert thickness_of_tex(tex) == pytest.approx(25.4 / (28 * math.sqrt(590.5 / tex)), rel=2e-3)


def test_slippery_threads_carry_a_caution() -> None:
    assert {kind.name for kind in KINDS.values() if kind.caution} == {"metallic", "glitter"}
    assert KINDS["metallic"].caution == SLIPPERY


def test_the_ends_of_slippery_threads_are_twice_as_long() -> None:
    assert KINDS["metallic"].gauge.tail_mm == 2 * FLOSS.tail_mm
    assert KINDS["metallic"].gauge.finish_mm == FLOSS.finish_mm + FLOSS.tail_mm
    assert KINDS["wool"].gauge.finish_mm == FLOSS.finish_mm
