"""Which strings last: by what was cut, what was measured, and how much thread a piece really uses."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.orders import by_rows, by_segments
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.observations import Used as SeenUsed
from benchmate.craft.trouble.string_outlook import (
    BY_EYE,
    NOISE,
    UNSEEN_SPREAD,
    Outlook,
    Used,
    outlook,
    spare_mm,
    used_here,
)
from benchmate.craft.wording.length_words import length_words
from benchmate.families.diagonal.family import DIAGONAL
from benchmate.families.diagonal.trouble.thread_to_come import ThreadToCome
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.piece_opening import Kept
from benchmate.piece_questions.thread.box_booking import ONLY_TOLD, REST_BY_TODAY, booking_of
from benchmate.piece_questions.thread.cut_strings import CutStrings
from benchmate.piece_questions.thread.dialogue import Answer, Choose, Dialogue, Number, Question, Say
from benchmate.piece_questions.thread.new_thread import threads_for
from benchmate.piece_questions.trouble import running_short
from benchmate.piece_questions.trouble.string_forecast import Forecast, Forecasts, forecast_of
from benchmate.piece_questions.typed_numbers import Typed, Wish, judge
from benchmate.store.errors import NotSaved
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.box import Box
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.gauges import record
from tests.charts import random_chart
from tests.screen.benches import CHEVRON, PICTURE, begun, written_to

LONG = CHEVRON.replace("repeats: 3", "repeats: 30")
"""300 knots in 120 rows."""


@pytest.fixture
def long_band(kept: Kept, tmp_path: Path) -> OpenPiece:
    """A band of 120 rows, of which 24 are tied, cut as listed."""
    opened = begun(kept, written_to(tmp_path, LONG))
    held = opened.held
    to_cut = held.whole.to_cut
    assert to_cut is not None
    assert to_cut.cuts is not None
    held.keep_cut(("floss", [Cut(length) for length in to_cut.cuts.lengths]))
    for number in held.order.sequence[:60]:
        held.tie([number])
    return held


def forecast(held: OpenPiece) -> Forecast:
    """What is to be expected of the strings of a diagonal band."""
    found = forecast_of(held)
    assert found is not None
    return found


# What a string still does


@pytest.mark.parametrize("seed", range(12))
def test_what_strings_still_do_is_what_lasts_reckons_with(seed: int) -> None:
    chance = Random(seed)
    work = DiagonalWork(random_chart(chance, 6, 12), 1)
    order = by_segments(work) if seed % 2 else by_rows(work)
    for done in {0, work.size, chance.randint(0, work.size)}:
        counts = ThreadToCome(work, order.sequence).still_does(done)
        for string in range(1, len(work.strings) + 1):
            needs = Estimate().needs_mm(counts[string - 1])
            assert needs == pytest.approx(ThreadToCome(work, order.sequence).lasts(done, string, 1e6, FLOSS).needs_mm)


@pytest.mark.parametrize("seed", range(6))
def test_at_first_strings_do_what_they_are_cut_for(seed: int) -> None:
    body = random_chart(Random(seed), 6, 12)
    use = DIAGONAL.thread_use(body, 1, FLOSS)
    work = DiagonalWork(body, 1)
    assert ThreadToCome(work, range(work.size)).still_does(0) == [each.counts for each in use.strings]


def test_where_a_knot_is_left_out_both_strings_wait() -> None:
    work = DiagonalWork(random_chart(Random(3), 6, 12), 1)
    step = next(number for number in range(work.size) if work.row_of(number) > 1)
    without = work.made_otherwise({step: None})
    before, after = (ThreadToCome(each, range(work.size)).still_does(0) for each in (work, without))
    assert sum(counts.made for counts in after) == sum(counts.made for counts in before) - 1
    assert all(sum(counts) == work.rows for counts in after)


# How much thread a piece uses


def test_while_nothing_is_measured_a_piece_uses_what_the_gauge_says() -> None:
    found = used_here([])
    assert (found.share, found.strings) == (1.0, 0)
    assert found.spread == pytest.approx(UNSEEN_SPREAD)


def test_every_string_measured_brings_the_share_nearer_and_narrows_it() -> None:
    shares, spreads = [], []
    for strings in range(1, 6):
        found = used_here([Used(600, 500, 200)] * strings)
        shares.append(found.share)
        spreads.append(found.spread)
    assert shares == sorted(shares)
    assert 1.1 < shares[0] < shares[-1] < 1.2
    assert spreads == sorted(spreads, reverse=True)


def test_what_was_measured_early_says_less() -> None:
    early, late = (used_here([used]) for used in (Used(72, 60, 900), Used(720, 600, 200)))
    assert 1.0 < early.share < late.share
    assert early.spread > late.spread


@pytest.mark.parametrize("used", [Used(2000, 500, 200), Used(100, 500, 200), Used(-30, 500, 900), Used(60, 20, 900)])
def test_what_cannot_be_the_maker_is_not_learned(used: Used) -> None:
    assert used_here([used]).strings == 0
    assert used_here([used, Used(550, 500, 100)]) == used_here([Used(550, 500, 100)])


def test_an_eyes_estimate_says_less_than_a_ruler() -> None:
    by_ruler, by_eye = (used_here([Used(600, 500, left)]) for left in (415, 420))
    assert 1.0 < by_eye.share < by_ruler.share


def test_the_spare_is_that_of_the_gauge_until_a_string_was_measured() -> None:
    assert spare_mm(500, used_here([]), 100) == 100
    measured = used_here([Used(500, 500, 100)] * 20)
    assert 2.326 * NOISE * 500 < spare_mm(500, measured, 100) < 100


def test_the_three_outlooks() -> None:
    found = [outlook(left, 50, 500, 100) for left in (650, 649.9, 550, 549.9)]
    assert found == [Outlook.CERTAIN, Outlook.PROBABLE, Outlook.PROBABLE, Outlook.SHORT]


# What is to be expected


def test_strings_cut_as_listed_are_certain_to_last(long_band: OpenPiece) -> None:
    found = forecast(long_band)
    assert found.cut_is_known
    assert {expected.outlook for string in found.strings if (expected := found.expected(string))} == {Outlook.CERTAIN}
    assert found.short == []


def needs(held: OpenPiece, string: int) -> Iterator[tuple[int, float]]:
    """Every open step of a string with all that it has needed from now on, counted by hand."""
    gauge, total = FLOSS, 0.0
    rows = [held.whole.step(each).row for each in held.progress.history if string in strings_of(held, each)]
    before = max(rows, default=0)
    for number in held.order.sequence[held.progress.done :]:
        if string not in strings_of(held, number):
            continue
        step = held.whole.main.work.step(number)
        total += gauge.waited_mm * (step.row - before - 1)
        before = step.row
        if held.whole.knotting(number) == string:
            total += gauge.made_mm
        else:
            total += gauge.carried_mm if held.whole.swapped_at(number) else gauge.stayed_mm
        yield number, total


def strings_of(held: OpenPiece, number: int) -> Sequence[int]:
    """The two strings of a step."""
    return held.whole.knotting(number), held.whole.passive(number)


def test_what_lasts_by_the_measure_never_gives_out_before_the_end(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG), done=31).held
    chance = Random(15)
    seen = set()
    for _ in range(30):
        string, mm = chance.randint(1, 6), chance.uniform(40, 900)
        held.measure(string, mm)
        expected = forecast(held).expected(string)
        assert expected is not None
        steps = list(needs(held, string))
        short = next((number for number, need in steps if need > mm - FLOSS.hold_mm), None)
        assert (expected.gives_out, expected.outlook is Outlook.SHORT) == (short, short is not None)
        passive = [number for number, _ in steps if held.whole.passive(number) == string]
        hidden = [number for number in passive if short is not None and number < short]
        assert expected.lay_in == (hidden[-1] if hidden else None)
        seen.add(expected.outlook)
    assert seen == {Outlook.CERTAIN, Outlook.PROBABLE, Outlook.SHORT}


def test_a_new_string_of_the_length_advised_is_certain_to_last(long_band: OpenPiece) -> None:
    long_band.measure(3, 120)
    before = forecast(long_band)
    assert [each.string for each in before.short] == [3]
    advised = before.for_a_new_one(3, before.done)
    long_band.join(3, advised - before.gauge.tail_mm)
    after = forecast(long_band)
    expected = after.expected(3)
    assert expected is not None
    assert (expected.outlook, expected.hung.joined, after.short) == (Outlook.CERTAIN, True, [])
    assert after.used_so_far(3, 100, after.done) is None, "what was cut at first says nothing of it"
    long_band.measure(3, 90)
    assert long_band.measured[3].joined, "still the new one"
    assert [each.string for each in forecast(long_band).short] == [3]


def test_a_measure_says_what_the_whole_piece_uses(long_band: OpenPiece) -> None:
    found = forecast(long_band)
    left = found.left_now(2)
    assert left is not None
    used = found.used_so_far(2, left, found.done)
    assert used is not None
    assert used.used_mm == pytest.approx(used.expected_mm)
    for string in (1, 2, 3):
        # A quarter more than the gauge expects.
        long_band.measure(string, left - 0.25 * used.expected_mm)
    after = forecast(long_band)
    assert after.here.strings == 3
    first = after.expected(1)
    assert first is not None
    assert "So far it used" in running_short.what_follows(long_band, after, first, "cm")[-1]
    assert 1.1 < after.here.share < 1.25
    assert after.needs_mm(6, after.done) == pytest.approx(after.here.share * found.needs_mm(6, found.done))
    other = after.left_now(6)
    assert other is not None
    assert other < left


def test_a_length_read_off_a_ruler_says_more_than_the_same_by_eye(long_band: OpenPiece) -> None:
    found = forecast(long_band)
    left, spreads = found.left_now(1), list[float]()
    assert left is not None
    for each in BY_EYE:
        by_ruler = Used(500.0, 500.0, each.mm)
        assert by_ruler.measured_to_mm < 0.3 * by_ruler._replace(by_eye=True).measured_to_mm
    for by_eye in (False, True):
        long_band.measure(1, left, by_eye=by_eye)
        here = forecast(long_band).here
        assert here.strings == 1
        spreads.append(here.spread)
    assert spreads[0] < spreads[1] < found.here.spread


def test_certain_is_what_the_gauge_has_learned(kept: Kept, tmp_path: Path) -> None:
    whole_band = Counts(100, 80, 0, 20)
    for _ in range(4):
        record(kept.pieces.database, "floss", [SeenUsed(whole_band, Estimate().needs_mm(whole_band))] * 4)
    held = begun(kept, written_to(tmp_path, LONG), done=60).held
    found = forecast(held)
    counts = found.counts(60)[0]
    needs, spare = found.estimate.needs_mm(counts), found.estimate.spare_mm(counts)
    assert found.gauge.seen == 16
    assert spare < 0.19 * needs, "less than is cut beyond the need before anything is measured"
    outlooks = []
    for beyond in (1.01, 0.99):
        held.measure(1, FLOSS.hold_mm + needs + beyond * spare)
        expected = forecast(held).expected(1)
        assert expected is not None
        outlooks.append(expected.outlook)
    assert outlooks == [Outlook.CERTAIN, Outlook.PROBABLE]


def test_a_band_made_longer_than_it_was_cut_for_runs_short(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG)).held
    held.keep_cut(("floss", [Cut(Length("plum", (string,), 500.0)) for string in range(1, 7)]))
    held.tie([0])
    found = forecast(held)
    assert found.short
    for expected in found.short:
        assert expected.gives_out is not None
        assert not expected.hung.measured


def test_two_ends_of_one_folded_length_share_it(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG)).held
    held.keep_cut(("floss", [Cut(Length("plum", (1, 6), 2000.0))]))
    held.tie([0])
    found = forecast(held)
    ends = [hung.mm for string in (1, 6) if (hung := found.hung(string)) is not None]
    assert sum(ends) == pytest.approx(2000 - 2 * FLOSS.start_mm)
    assert found.hung(2) is None
    assert found.expected(2) is None


def test_a_forecast_is_made_again_only_when_something_has_changed(long_band: OpenPiece) -> None:
    forecasts = Forecasts()
    first = forecasts.of(long_band)
    long_band.tie([60])
    assert forecasts.of(long_band) is first
    assert first is not None
    assert first.done == 61
    long_band.measure(1, 100)
    second = forecasts.of(long_band)
    assert second is not first
    # Out of turn it is worked out once, and no more while the steps follow the order that it rests on.
    long_band.tie(long_band.progress.ready()[-1:])
    third = forecasts.of(long_band)
    assert third is not None
    assert third is not second
    assert list(third.counts(61)) == list(forecast(long_band).counts(61))
    for _ in range(3):
        long_band.finish_step()
        assert forecasts.of(long_band) is third
        assert (third.done, third.expected(1)) == (long_band.progress.done, forecast(long_band).expected(1))
    long_band.back()
    assert forecasts.of(long_band) is third
    for _ in range(3):
        long_band.back()
    assert forecasts.of(long_band) is not third
    assert long_band.progress.done == 61
    long_band.change_way("rows", from_right=True)
    assert forecasts.of(long_band) is not second


def test_other_families_have_no_forecast(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, PICTURE), done=3).held
    assert forecast_of(held) is None
    dialogue = running_short.ask(held, "cm")
    question = next(dialogue)
    assert isinstance(question, Choose)
    assert (question.question, list(question.choices)) == (running_short.OTHER_FAMILY, [])
    with pytest.raises(StopIteration):
        dialogue.send(None)


def test_what_is_left_at_the_end_is_not_asked_of_a_string_that_was_replaced(long_band: OpenPiece) -> None:
    before = [string.length.strings for string in CutStrings(long_band).strings]
    long_band.join(3, 900)
    assert [string.length.strings for string in CutStrings(long_band).strings] == [
        each for each in before if each != (3,)
    ]
    long_band.measure(2, 900)
    assert (2,) in [string.length.strings for string in CutStrings(long_band).strings]


# The questions


def answered(dialogue: Dialogue[str], *answers: Answer) -> tuple[list[Question], str | None]:
    """All that is asked with these answers, and what is returned at the end; None where it asks on."""
    asked = [next(dialogue)]
    for answer in answers:
        while isinstance(asked[-1], Say):
            asked.append(next(dialogue))
        try:
            asked.append(dialogue.send(answer))
        except StopIteration as end:
            return asked, str(end.value)
    return asked, None


def typed(mm: float) -> Typed:
    """An answer of so many mm."""
    return Typed(Wish.TAKE, mm)


def chosen(question: Question, says: str) -> int:
    """The place of a choice."""
    assert isinstance(question, Choose)
    return next(at for at, choice in enumerate(question.choices) if choice.startswith(says))


def test_a_string_is_measured_and_what_follows_is_said(long_band: OpenPiece) -> None:
    asked, says = answered(running_short.ask(long_band, "cm"), 0, 0, typed(100), 0, None)
    strings, how, number, follows, again = asked
    assert isinstance(strings, Choose)
    assert [choice.split(":")[1] for choice in strings.choices] == [" certain to last"] * 6
    assert isinstance(how, Choose)
    assert "It needs 52 cm. About 80 cm should be left." in how.question
    assert isinstance(number, Number)
    assert isinstance(follows, Choose)
    assert follows.heading == "GIVES OUT IN ROW 32"
    assert "Lay in a new one by row" in follows.question
    assert "By what was cut it used 83 cm, the gauge expects 13 cm: not counted" in follows.question
    assert isinstance(again, Choose)
    assert again.choices[0] == "1 plum: probably runs short in row 32"
    assert says is not None
    assert says.startswith("Plum at 1: gives out at row 32, knot ")


@pytest.mark.parametrize(("place", "mm"), [(at + 1, each.mm) for at, each in enumerate(BY_EYE)])
def test_an_eyes_estimate_is_taken_for_the_length_that_is_named(long_band: OpenPiece, place: int, mm: float) -> None:
    asked, _ = answered(running_short.ask(long_band, "cm"), 2, place)
    assert isinstance(asked[1], Choose)
    assert asked[1].choices[place].endswith(f": {mm / 10:.0f} cm")
    string = long_band.progress.hanging[2]
    measured = long_band.measured[string]
    assert (measured.mm, measured.done, measured.by_eye) == (mm, 60, True)


def test_a_length_that_does_not_go_with_what_was_cut_is_asked_about_once(long_band: OpenPiece) -> None:
    asked, _ = answered(running_short.ask(long_band, "cm"), 0, 0)
    question = asked[-1]
    assert isinstance(question, Number)
    first = judge(question.asked, "4 m", None)
    assert first.number is None
    assert first.says.startswith("4 m? By what was cut, about 80 cm is left.")
    assert judge(question.asked, "4 m", first.doubted).number == 4000
    assert judge(question.asked, "65", None).number == 650
    assert judge(question.asked, "0", judge(question.asked, "0", None).doubted).number == 0


def test_a_new_string_takes_over(long_band: OpenPiece) -> None:
    asked, _ = answered(running_short.ask(long_band, "inches"), 0, 0, typed(100), 1)
    question = asked[-1]
    assert isinstance(question, Number)
    assert question.asked.heading == "NEW PLUM AT 1"
    mm = question.asked.read(question.typed)
    assert mm is not None
    asked, says = answered(running_short.ask(long_band, "cm"), 0, 5, typed(mm), 0, None)
    assert isinstance(asked[-2], Choose)
    assert asked[-2].heading == "LASTS"
    assert isinstance(asked[-1], Choose)
    assert asked[-1].choices[0] == "1 plum, new: certain to last"
    assert says == "Plum at 1: certain to last."


def tie_to_the_laying_in(held: OpenPiece) -> None:
    """Measures string 1 short, and ties on until the knot is tied in which a new one is to be laid in."""
    held.measure(1, 100)
    expected = forecast(held).expected(1)
    assert expected is not None
    assert expected.lay_in is not None
    while not held.progress.is_tied(expected.lay_in):
        held.tie([held.progress.coming(1)[0]])


def test_a_new_string_takes_over_where_it_was_to_be_laid_in(long_band: OpenPiece) -> None:
    """Told a few knots later, it counts from the knot where it was laid in, and less of it is left by now."""
    tie_to_the_laying_in(long_band)
    done = long_band.progress.done
    for number in long_band.progress.coming(9):
        long_band.tie([number])
    place = str(long_band.progress.hanging.index(1) + 1)
    strings, _ = answered(running_short.ask(long_band, "cm"))
    assert isinstance(strings[0], Choose)
    assert strings[0].at == int(place) - 1
    assert strings[0].choices[strings[0].at] == f"{place} plum: should have given out in row 32"
    asked, _ = answered(running_short.ask(long_band, "cm"), int(place) - 1, 5, 0, typed(600))
    assert isinstance(asked[2], Choose)
    assert (asked[2].question, asked[2].choices) == (running_short.WHERE, ["row 29, knot 73", "just now"])
    length = asked[3]
    assert isinstance(length, Number)
    assert "It counts from row 29, knot 73." in " ".join(length.asked.texts)
    assert long_band.measured[1][:3] == (done, 510.0, True)
    (new,) = long_band.new_strings
    assert (new.mm, new.after, new.thread) == (600.0, long_band.progress.history[done - 1], None)
    left = forecast(long_band).left_now(1)
    assert left is not None
    assert left < 510
    # What is said to be left is what hangs now, not what hung there.
    assert isinstance(asked[-1], Choose)
    needs = forecast(long_band).needs_mm(1, forecast(long_band).done)
    assert f"Of its {length_words(left, 'cm')}, the last 5 cm are too short" in asked[-1].question
    assert f"the knots to come take {length_words(needs, 'cm')}." in asked[-1].question
    answered(running_short.ask(long_band, "cm"), int(place) - 1, 6)
    asked, _ = answered(running_short.ask(long_band, "cm"), int(place) - 1, 5, 0, typed(1600))
    left = forecast(long_band).left_now(1)
    assert left is not None
    assert isinstance(asked[-1], Choose)
    said = f"About {length_words(left, 'cm')} left, {length_words(needs, 'cm')} needed."
    assert said in asked[-1].question


def test_a_new_string_is_laid_in_elsewhere_than_it_was_to_be(long_band: OpenPiece) -> None:
    """It broke, or the knot was not noticed: it counts from now."""
    tie_to_the_laying_in(long_band)
    for number in long_band.progress.coming(9):
        long_band.tie([number])
    done, place = long_band.progress.done, long_band.progress.hanging.index(1)
    asked, _ = answered(running_short.ask(long_band, "cm"), place, 5, None)
    assert isinstance(asked[-1], Choose)
    assert long_band.new_strings == [], "back leaves all as it was"
    asked, _ = answered(running_short.ask(long_band, "cm"), place, 5, 1, typed(600))
    length = asked[3]
    assert isinstance(length, Number)
    assert "It counts from" not in " ".join(length.asked.texts)
    assert long_band.measured[1][:3] == (done, 510.0, True)
    assert isinstance(asked[-1], Choose)
    assert "51 cm left" in asked[-1].question


def test_from_which_thread_of_the_box_a_new_string_was_cut(long_band: OpenPiece) -> None:
    def thread(name: str, mm: float, colour: str = "#5d1a4a", *, whole: bool = False) -> BoxThread:
        return BoxThread(0, name, colour, "floss", mm, whole)

    box = Box(long_band.database)
    skein, short, other, offcut = box.add(
        [
            thread("heath", 8000, whole=True),
            thread("a bit of heath", 400),
            thread("sand", 8000, "#e8d48b", whole=True),
            thread("heath end", 900),
        ]
    )
    asked, _ = answered(running_short.ask(long_band, "cm"), 0, 5, typed(600))
    question = asked[-1]
    assert isinstance(question, Choose)
    assert question.heading == "CUT FROM"
    assert question.choices == ["offcut heath end, 90 cm", "skein heath, 8 m", "not from the box"]
    assert long_band.new_strings == []
    asked, _ = answered(running_short.ask(long_band, "cm"), 0, 5, typed(600), None)
    assert isinstance(asked[-1], Number), "back"
    assert asked[-1].typed == "60 cm"
    answered(running_short.ask(long_band, "cm"), 0, 5, typed(600), 0)
    asked, _ = answered(running_short.ask(long_band, "cm"), 0, 5, typed(610), 0)
    assert isinstance(asked[3], Choose)
    assert asked[3].choices == ["skein heath, 8 m", "not from the box"], "of the offcut 30 cm are left"
    answered(running_short.ask(long_band, "cm"), 0, 5, typed(7500), 0)
    assert [each.thread for each in long_band.new_strings] == [offcut, skein, None], "7.5 m are not left of it"
    assert {each.number for each in box.threads()} == {skein, short, other, offcut}, "taken off when it is finished"


def test_lengths_ticked_off_count_as_cut_where_not_all_are(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG)).held
    to_cut = held.whole.to_cut
    assert to_cut is not None
    assert to_cut.cuts is not None
    lengths = to_cut.cuts.lengths
    box = Box(held.database)
    design = held.whole.main.design
    skeins = {
        colour: box.add([BoxThread(0, colour, design.colours[colour].value, "floss", 9000.0, whole=True)])[0]
        for colour in sorted({length.colour for length in lengths})
    }
    # The packing would rather cut into these.
    box.add([BoxThread(0, "end", design.colours[colour].value, "floss", 1800.0, whole=False) for colour in skeins])
    held.tick([Cut(length._replace(cut_mm=length.cut_mm + 50), skeins[length.colour]) for length in lengths[:-1]])
    held.jump(60)
    found = forecast(held)
    last = lengths[-1].strings[0]
    assert not found.cut_is_known
    known = {string: found.used_so_far(string, 700.0, found.done) is not None for string in found.strings}
    assert known == {string: string != last for string in found.strings}
    listed = {string: length.cut_mm for length in lengths for string in length.strings}
    hangs = {string: hung.mm for string in found.strings if (hung := found.hung(string)) is not None}
    assert {string: mm - hangs[last] - listed[string] + listed[last] for string, mm in hangs.items()} == {
        string: 0.0 if string == last else 50.0 for string in hangs
    }
    told = Forecasts()
    assert told.of(held) is not None
    first = lengths[0]
    taken = sum(length.cut_mm + 50 for length in lengths[:-1] if length.colour == first.colour)
    assert [thread.mm for thread in threads_for(held, first.strings[0], 600) if thread.whole] == [9000.0 - taken]
    booking = booking_of(held, box, (), "cm", 100.0)
    assert booking is not None
    cut_from = {length.colour for length in lengths[:-1]}
    used = {skeins[colour] for colour in cut_from}
    assert used <= booking.left.keys()
    assert booking.left[skeins[first.colour]] <= 9000.0 - taken
    assert (booking.supposed, booking.by_today) == (True, REST_BY_TODAY)
    assert booking.left.keys() == used, "the last one is taken to be of the same skein"
    assert booking.left[skeins[lengths[-1].colour]] == 9000.0 - sum(
        cut.length.cut_mm for cut in [*held.ticked, Cut(lengths[-1])] if cut.length.colour == lengths[-1].colour
    )
    # What was told is booked in any case; only the rest is a guess.
    assert booking.answers[1] == ONLY_TOLD
    told_only = booking.chosen(1)
    assert told_only is not None
    assert (booking.chosen(0), booking.chosen(2), told_only.told) == (booking, None, None)
    assert told_only.left == {
        skeins[colour]: 9000.0 - sum(cut.length.cut_mm for cut in held.ticked if cut.length.colour == colour)
        for colour in cut_from
    }
    # All of them told, nothing is.
    held.tick([*held.ticked, Cut(lengths[-1], skeins[lengths[-1].colour])])
    assert told.of(held) is not None
    booking = booking_of(held, box, (), "cm", 100.0)
    assert booking is not None
    assert (booking.supposed, booking.by_today, set(booking.left)) == (False, "", set(skeins.values()))
    assert forecast(held).cut_is_known


def test_a_new_string_is_taken_back(long_band: OpenPiece) -> None:
    long_band.measure(1, 100)
    answered(running_short.ask(long_band, "cm"), 0, 5, typed(600))
    asked, says = answered(running_short.ask(long_band, "cm"), 0, 6, None)
    assert isinstance(asked[1], Choose)
    assert asked[1].choices[6] == running_short.NOT_NEW
    assert isinstance(asked[2], Choose)
    assert asked[2].choices[0] == "1 plum: probably runs short in row 32"
    assert says == "Plum at 1: new string undone; what was known before counts again."
    assert (long_band.new_strings, long_band.measured[1][1:3]) == ([], (100.0, False))
    answered(running_short.ask(long_band, "cm"), 0, 5, typed(600))
    long_band.measure(1, 300)
    _, says = answered(running_short.ask(long_band, "cm"), 0, 6, None)
    assert says == f"Plum at 1: {running_short.STILL}"
    assert (long_band.new_strings, long_band.measured[1][1:3]) == ([], (300.0, False))
    asked, _ = answered(running_short.ask(long_band, "cm"), 0)
    assert isinstance(asked[1], Choose)
    assert running_short.NOT_NEW not in asked[1].choices


def go_to(held: OpenPiece, done: int) -> None:
    """Undoes knots, or ties them, one by one."""
    while held.progress.done > done:
        held.back()
    while held.progress.done < done:
        held.tie([held.progress.coming(1)[0]])


def in_list(held: OpenPiece, string: int) -> str:
    """What the list of strings says of a string."""
    return running_short.in_the_list(held, forecast(held), string).partition(" ")[2]


OLD = "plum: probably runs short in row 32"


def test_a_new_string_whose_knot_is_undone_is_out_again_until_it_is_tied_past(long_band: OpenPiece) -> None:
    long_band.measure(1, 100)
    go_to(long_band, 90)
    long_band.join(1, 510, 600)
    (new,) = long_band.new_strings
    told = Forecasts()
    go_to(long_band, 60)
    assert (long_band.measured[1][:3], in_list(long_band, 1)) == ((60, 100, False), OLD)
    found = told.of(long_band)
    assert found is not None
    (expected,) = found.short
    assert (expected.string, expected.hung.joined, found.left_now(1)) == (1, False, 100)
    asked, _ = answered(running_short.ask(long_band, "cm"), long_band.progress.hanging.index(1))
    assert isinstance(asked[1], Choose)
    assert "About 10 cm should be left." in asked[1].question
    assert running_short.NOT_NEW not in asked[1].choices
    # What is measured now is of the string that hangs now.
    long_band.measure(1, 90)
    assert (long_band.measured[1][:3], in_list(long_band, 1)) == ((60, 90, False), OLD.replace("32", "31"))
    while not long_band.progress.is_tied(new.after):
        assert not long_band.measured[1].joined
        go_to(long_band, long_band.progress.done + 1)
    assert (long_band.measured[1][:3], in_list(long_band, 1)) == (
        (90, 510, True),
        "plum, new: probably lasts",
    )
    again = told.of(long_band)
    assert again is not None
    left = again.left_now(1)
    assert left is not None
    assert 500 < left <= 510
    long_band.take_new_string_back(1)
    assert long_band.measured[1][:3] == (60, 90, False)


def test_of_several_new_strings_those_are_in_whose_knots_are_tied(long_band: OpenPiece) -> None:
    for done, mm in ((80, 400), (120, 500)):
        go_to(long_band, done)
        long_band.join(1, mm)
    seen = {}
    for done in (100, 60, 100, 120):
        go_to(long_band, done)
        seen[done] = None if 1 not in long_band.measured else long_band.measured[1][:3]
    assert seen == {100: (80, 400, True), 60: None, 120: (120, 500, True)}
    # The one before can be undone while the later one is out.
    go_to(long_band, 100)
    long_band.take_new_string_back(1)
    assert 1 not in long_band.measured
    go_to(long_band, 120)
    assert long_band.measured[1][:3] == (120, 500, True)
    # Laid in again elsewhere, it is that one and no other.
    go_to(long_band, 70)
    long_band.join(1, 450)
    assert [each.mm for each in long_band.new_strings] == [450]
    go_to(long_band, 130)
    assert long_band.measured[1][:3] == (70, 450, True)
    go_to(long_band, 60)
    assert 1 not in long_band.measured


def test_no_more_hangs_than_hung_at_first_however_much_is_undone(long_band: OpenPiece) -> None:
    go_to(long_band, 80)
    long_band.join(1, 510, 600)
    go_to(long_band, 140)
    long_band.measure(1, 505)
    go_to(long_band, 81)
    assert long_band.measured[1].joined
    assert forecast(long_band).left_now(1) == 510
    go_to(long_band, 140)
    cut = max(cut.length.cut_mm for cut in long_band.lengths_cut if 2 in cut.length.strings)
    long_band.measure(2, 900)
    go_to(long_band, 30)
    found = forecast(long_band)
    left = found.left_now(2)
    assert left is not None
    assert 900 < left <= cut - FLOSS.start_mm
    long_band.take_cut_back([])
    left = forecast(long_band).left_now(2)
    assert left is not None
    assert left > 900, "what was cut is not known"


def test_a_new_string_that_is_out_stays_out_in_a_changed_design(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG), done=90).held
    held.join(1, 510, 600)
    go_to(held, 20)
    longer = held.copy._replace(repeats=(held.copy.repeats or 30) + 5)
    held.change_design(longer, openings.whole_of_copy(longer, held.way))
    assert 1 not in held.measured
    go_to(held, 90)
    assert held.measured[1].joined
    go_to(held, 0)
    short = held.copy._replace(repeats=2)
    held.change_design(short, openings.whole_of_copy(short, held.way))
    assert 1 not in held.measured, "a step that the changed design does not have is not tied"
    assert in_list(held, 1) == "plum: not known"


def test_of_a_variegated_thread_it_is_said_where_a_new_string_begins(kept: Kept, tmp_path: Path) -> None:
    plum = "plum: {css: [purple 300, plum 200], say: dusk}"
    text = LONG.replace('plum: "#5d1a4a"', plum)
    held = begun(kept, written_to(tmp_path, text)).held
    asked, _ = answered(running_short.ask(held, "cm"), 0, 5)
    assert isinstance(asked[-1], Number)
    assert "Begin where purple begins." in asked[-1].asked.texts
    asked, _ = answered(running_short.ask(held, "cm"), 1, 5)
    assert isinstance(asked[-1], Number)
    assert "begin" not in " ".join(asked[-1].asked.texts).lower()


def test_what_could_not_be_saved_is_said_and_asked_again(long_band: OpenPiece, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise NotSaved("The disk is full.")

    monkeypatch.setattr(long_band, "measure", full)
    asked, _ = answered(running_short.ask(long_band, "cm"), 0, 1)
    assert isinstance(asked[-1], Say)
    assert (asked[-1].text, asked[-1].refused) == ("The disk is full.", True)
    assert long_band.measured == {}


def test_the_most_pressing_string_is_chosen_at_first(long_band: OpenPiece) -> None:
    long_band.measure(4, 90)
    asked, _ = answered(running_short.ask(long_band, "cm"))
    assert isinstance(asked[0], Choose)
    assert long_band.progress.hanging[asked[0].at] == 4
