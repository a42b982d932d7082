"""A swatch says of the gauge what its strings really do."""

import pytest

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.observations import Measured, Used
from benchmate.design_files.load import parse
from benchmate.piece_questions.thread.swatch import KNOTS, LONG, SWATCHES, USED, WIDE_MM, Measuring
from benchmate.piece_questions.typed_numbers import judge

ROW, STRIPE = SWATCHES


def stripe(rounds: int) -> str:
    """Four strings of which each in turn makes knots over the others, so many times."""
    lines = 4 * rounds
    rows = []
    for row in range(1, 2 * (lines - 1) + 4):
        first = 1 if row % 2 else 2
        tokens = []
        for left in range(first, 4, 2):
            # A line begins in each odd row, and makes the knot at its place p in its row p.
            begun = row - left + 1
            tokens.append("f" if begun >= 1 and begun <= 2 * (lines - 1) + 1 else "-")
        rows.append(" ".join(tokens))
    listed = "".join(f'  - "{row}"\n' for row in rows)
    return (
        "benchmate: 1\ntitle: Swatch\nfamily: diagonal\ncolours: {ink: black, sand: white}\n"
        f"strings: [ink, sand, sand, sand]\nrows:\n{listed}"
    )


@pytest.mark.parametrize("rounds", [2, 4, 7])
def test_the_stripe_is_what_the_chart_of_one_has(rounds: int) -> None:
    design = parse(stripe(rounds))[0]
    assert design is not None
    use = design.family.thread_use(design.body, 1, FLOSS)
    assert use is not None
    knots = 3 * rounds
    assert [each.counts for each in use.strings] == [STRIPE.counts(knots)] * 4
    assert use.rows == STRIPE.rows(knots)


def test_one_string_over_five_makes_every_knot() -> None:
    assert ROW.counts(20) == Counts(made=20)
    assert (ROW.rows(20), ROW.line, ROW.side_by_side) == (4, 5, 5)


def test_what_was_measured_of_it() -> None:
    measuring = Measuring(ROW, Estimate(), "cm")
    assert measuring.seen() == []
    measuring.typed |= {KNOTS: 25.0, USED: 260.0, WIDE_MM: 12.0, LONG: 9.5}
    assert measuring.seen() == [
        Used(Counts(made=25), 260.0),
        Measured("wide", 5, 12.0),
        Measured("alpha rows", 5, 9.5),
    ]
    measuring = Measuring(STRIPE, Estimate(), "cm")
    measuring.typed[LONG] = 40.0
    assert measuring.seen() == [Measured("rows", 33, 40.0)]


def test_numbers_that_are_far_off_are_asked_about() -> None:
    measuring = Measuring(ROW, Estimate(), "cm")
    assert judge(measuring.ask(USED), "22", None).number == 220
    doubt = judge(measuring.ask(USED), "220", None).says
    assert doubt == "2 m 20 cm? The thread of 20 knots is usually 15 cm to 29.5 cm."
    assert judge(measuring.ask(KNOTS), "22", None).says == "22 knots? Whole lines of 5 measure better."
    assert "usually has 6 to 60" in judge(measuring.ask(KNOTS), "200", None).says


def test_every_instruction_is_short_enough_for_a_small_window() -> None:
    for swatch in SWATCHES:
        assert 2 <= len(swatch.does) <= 3
        assert all(len(line) <= 210 for line in swatch.does)


def test_the_gauge_before_and_after() -> None:
    measuring = Measuring(ROW, Estimate(), "cm")
    after = Estimate(FLOSS._replace(made_mm=11.25))
    assert measuring.changes(after) == ["a knot made: 10.5 mm → 11.25 mm"]
    assert measuring.changes(Estimate()) == ["the gauge stays as it is"]
