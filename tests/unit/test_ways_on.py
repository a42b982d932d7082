"""What went wrong and three ways on as questions: what is told narrows it down, and each way has its price."""

from collections.abc import Callable
from random import Random

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made, swaps
from benchmate.craft.trouble.trouble import WrongKnot
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions import jump_targets
from benchmate.piece_questions.trouble import known_mistakes
from benchmate.piece_questions.trouble.knot_places import colour_shown, place_of, rows_back
from benchmate.piece_questions.trouble.ways_on import WayOn, WaysOn
from benchmate.piece_questions.trouble.what_went_wrong import (
    AS_CHARTED,
    AS_MADE,
    NOTHING_TELLS,
    WhatWentWrong,
    WrongKnots,
)
from benchmate.store.open_piece import OpenPiece
from tests.running import ROOT
from tests.screen.benches import FOUR_KNOTS, PICTURE, begun, written_to
from tests.screen.erring import TWELVE, corrections, hanging

Begin = Callable[..., OpenPiece]


@pytest.fixture
def begin(kept: Kept, tmp_path_factory: pytest.TempPathFactory) -> Begin:
    """Begins a piece."""

    def begin(text: str = TWELVE, *, done: int = 110) -> OpenPiece:
        opened: OpenedPiece = begun(kept, written_to(tmp_path_factory.mktemp("design"), text))
        opened.held.jump(done)
        return opened.held

    return begin


def asked_out(held: OpenPiece, made: dict[int, Made]) -> tuple[WhatWentWrong, int]:
    """What is found out by a maker whose knots were made so, and how many questions that takes."""
    band = held.whole.made_otherwise(made)
    went, questions = WhatWentWrong(held), 0
    went.hang(hanging(held, band))
    went.found = went.look()
    while went.question is not None:
        went.tell(went.question.step, colour_shown(band, went.question.step))
        went.found = went.look()
        questions += 1
    return went, questions


def test_every_single_wrong_knot_is_found_or_hangs_as_charted(begin: Begin) -> None:
    held = begin()
    seeded = Random(15)
    found = 0
    for step in seeded.sample(range(held.progress.done), 24):
        way = seeded.choice([way for way in EVERY_KIND if way is not held.whole.how_made(step)])
        went, _ = asked_out(held, {step: way})
        assert went.found is not None
        if went.found.as_charted:
            assert went.found_words("left") == AS_CHARTED
            # Pointed at, it is found by its own colour, unless it shows the one it should.
            shown = colour_shown(held.whole.made_otherwise({step: way}), step)
            went.tell(step, shown)
            went.found = went.look()
            if went.found is None or went.found.as_charted:
                assert shown == colour_shown(held.whole, step)
                continue
        made = [went.ways_made(each)[0].made for each in went.explanations]
        assert any(step in each for each in made)
        if went.settled and step in made[0]:
            found += 1
            really = held.whole.made_otherwise({step: way})
            assert colour_shown(held.whole.made_otherwise(made[0]), step) == colour_shown(really, step)
    assert found > 12


def test_the_first_right_move_takes_few_keys(begin: Begin) -> None:
    """u, s, the strings that hang otherwise, enter, the answers, and the way on: 20 keys at most."""
    seeded, keys = Random(20), list[int]()
    for name in ("tidewater-chevron", "winter-hedge-diamonds", "ivy-on-the-drainpipe"):
        held = begin((ROOT / "designs" / f"{name}.yaml").read_text(encoding="utf-8"), done=0)
        first = held.whole.main.first
        for _ in range(10):
            done = seeded.randint(60, 200)
            held.jump(first + done)
            step = first + done - seeded.randint(1, 40)
            way = seeded.choice([way for way in EVERY_KIND if way is not held.whole.how_made(step)])
            seen = hanging(held, held.whole.made_otherwise({step: way}))
            if seen != hanging(held, held.whole):
                _, questions = asked_out(held, {step: way})
                keys.append(len(["u", "s", *corrections(held, seen), "enter"]) + questions + len(["1"]))
    assert len(keys) > 12
    assert max(keys) <= 20, keys


def test_two_wrong_knots_are_found_together(begin: Begin) -> None:
    held = begin(done=60)
    made: dict[int, Made] = {15: Knot.FORWARD_BACKWARD, 56: Knot.BACKWARD_FORWARD}
    went, _ = asked_out(held, made)
    assert went.explanations
    assert all(len(each) == 2 for each in went.explanations)
    assert any({wrong.step for wrong in each} == set(made) for each in went.explanations)
    told = next(each for each in went.explanations if {wrong.step for wrong in each} == set(made))
    assert went.explanation_words(told).count(" instead of ") == 2
    # The combination that is taken explains what is seen, which not every combination of the ways does.
    assert hanging(held, held.whole.made_otherwise(went.ways_made(told)[0].made)) == went.seen


def test_the_ways_of_two_knots_name_them_by_no_more_than_tells_them_apart(begin: Begin) -> None:
    held = begin(done=60)
    went = WhatWentWrong(held)
    row = list(range(*held.whole.span(3)))
    for steps, names in (((row[0], row[-1]), ["first from the left", "first from the right"]), ((15, 56), [])):
        rows = [f"row {held.whole.step(step).row}" for step in steps]
        went.hang(hanging(held, held.whole.made_otherwise(dict.fromkeys(steps))))
        ways = went.ways_made(tuple(WrongKnot(step, (None, Knot.FORWARD_BACKWARD)) for step in steps))
        assert f"{(names or rows)[0]}: left out; {(names or rows)[1]}: left out" in [way.words for way in ways]
    went.hang(hanging(held, held.whole.made_otherwise({15: None})))
    assert [way.words for way in went.ways_made((WrongKnot(15, (None,)),))] == ["left out"]


def test_of_pairs_it_is_said_in_how_many_ways_they_explain_it(begin: Begin) -> None:
    held = begin()
    band = held.whole.made_otherwise({56: Knot.BACKWARD_FORWARD, 88: Knot.BACKWARD_FORWARD})
    went = WhatWentWrong(held)
    went.hang(hanging(held, band))
    said = []
    went.found = went.look()
    while (question := went.question) is not None:
        said.append(went.found_words("left"))
        assert f"in up to {sum(len(went.ways_made(each)) for each in went.explanations)} ways" in said[-1]
        went.tell(question.step, colour_shown(band, question.step))
        went.found = went.look()
    assert said == [f"2 pairs of knots explain it, in up to {ways} ways." for ways in (18, 6, 4, 2)]


def test_what_is_known_of_one_of_two_knots_is_kept_and_drawn(begin: Begin) -> None:
    held = begin(done=60)
    went = WhatWentWrong(held)
    made: dict[int, Made] = {15: None, 56: Knot.BACKWARD_FORWARD}
    went.hang(hanging(held, held.whole.made_otherwise(made)))
    went.point(15, None)
    pair = (WrongKnot(15, (None,)), WrongKnot(56, (Knot.BACKWARD_FORWARD, None)))
    went.choose(pair)
    went.found = went.look()
    while went.question is not None:
        went.answer("?")
        went.found = went.look()
    assert len(went.ways_left) == 2
    assert went.not_known == WrongKnots({15: None}, [56])
    ways = WaysOn(held, went.not_known)
    assert ways.left_as_it_is.how_made(15) is None
    assert "left out instead of" in ways.wrong_words()
    out = len(ways.out)
    assert ways.cost(WayOn.TAKE_OUT) == (
        f"take out: {out - 1}",
        [f"Take out {out - 1} knots, tie {out}, as charted."],
    )
    assert [way for way in WayOn if ways.can_choose(way)] == [WayOn.TAKE_OUT]
    ways.choose(WayOn.TAKE_OUT)
    assert held.mistakes == {15: None}
    assert {15, 56} <= {*held.must_come_out()}
    assert held.as_known.colour_in_doubt(56)
    assert not held.as_known.colour_in_doubt(15)


def test_leaving_it_says_how_many_later_knots_show_it(begin: Begin) -> None:
    held = begin()
    many = len(WaysOn(held, WrongKnots({88: Knot.BACKWARD_FORWARD})).accepted)
    assert many > 1
    assert WaysOn(held, WrongKnots({88: Knot.BACKWARD_FORWARD})).cost(WayOn.LEAVE).briefly == f"leave it: {many} differ"
    alike = next(
        (step, way)
        for step in held.progress.history
        for way in Knot
        if way is not held.whole.how_made(step) and not WaysOn(held, WrongKnots({step: way})).accepted
    )
    assert WaysOn(held, WrongKnots(dict([alike]))).cost(WayOn.LEAVE).briefly == "leave it: 0"


def test_a_knot_that_was_left_out_is_not_there_to_take_out(begin: Begin) -> None:
    held = begin()
    last = held.progress.history[-1]
    cost = WaysOn(held, WrongKnots({last: None})).cost(WayOn.TAKE_OUT)
    assert cost == ("take out: 0", ["Nothing to take out, tie 1, as charted."])


def test_a_knot_that_was_chosen_is_asked_about_until_its_way_is_known(begin: Begin) -> None:
    held = begin()
    went = WhatWentWrong(held)
    went.hang(hanging(held, held.whole.made_otherwise({88: Knot.BACKWARD_FORWARD})))
    went.found = went.look()
    chosen = next(each for each in went.explanations if each[0].step == 88)
    assert len(chosen[0].made) > 1
    went.choose(chosen)
    went.found = went.look()
    assert went.question is not None
    assert went.question.step == 88
    assert went.answer("?")
    went.found = went.look()
    # It stays the one, and nobody has said how it was made.
    assert [[wrong.step for wrong in each] for each in went.explanations] == [[88]]
    assert went.settled
    assert {way.made[88] for way in went.ways_left} == {Knot.FORWARD_BACKWARD, Knot.BACKWARD_FORWARD, None}
    assert went.not_known == WrongKnots({}, [88])
    assert went.take_back()
    went.found = went.look()
    assert went.question is not None
    assert went.answer(went.question.answers[0].letter)
    went.found = went.look()
    assert [wrong.step for wrong in went.explanations[0]] == [88], "another knot would explain that too"
    assert went.wrong is not None
    assert went.take_back()
    assert went.take_back()
    went.found = went.look()
    assert len(went.explanations) > 1, "nothing is chosen any more"


def test_a_knot_made_in_a_way_nobody_knows_can_only_be_taken_out(begin: Begin) -> None:
    held = begin()
    ways = WaysOn(held, WrongKnots({}, [88]))
    assert ways.look_for_mending() is None
    assert [ways.can_choose(way) for way in WayOn] == [True, False, False]
    assert ways.wrong_words() == "row 17, first from the left: wrong, made in a way not known"
    words = ways.chosen_words(WayOn.TAKE_OUT)
    assert words.startswith("How it was made is not known")
    ways.choose(WayOn.TAKE_OUT)
    assert held.wrong == 88
    assert held.made == {}, "nothing is kept that the maker did not say"


def test_the_strings_hang_by_what_was_really_made(begin: Begin) -> None:
    held = begin()
    assert WhatWentWrong(held).believed_words == "As charted"
    held.leave({88: Knot.BACKWARD_FORWARD}, {})
    went = WhatWentWrong(held)
    assert went.believed_words == "As really made"
    went.found = went.look()
    assert went.found_words("left") == AS_MADE


def test_a_planned_change_that_was_not_done_is_taken_out_to_be_made_as_planned(begin: Begin) -> None:
    held = begin()
    held.leave({88: Knot.BACKWARD_FORWARD}, {110: None})
    held.tie([110])
    charted = held.charted.how_made(110)
    assert charted is not None
    ways = WaysOn(held, WrongKnots({110: charted}))
    assert ways.cost(WayOn.TAKE_OUT).says == [
        f"Take out 1 knot, tie it again, left out instead of {charted.words}, as planned."
    ]
    assert WaysOn(held, WrongKnots({109: Knot.FORWARD})).planned_again == {}
    ways.choose(WayOn.LEAVE)
    assert known_mistakes.left_wrong(held, 110) == f"Left wrong: {charted.words}, should be left out, as planned."
    assert known_mistakes.known(held) == [110, 88]


def test_a_mistake_that_was_none_leaves_its_done_changes_as_mistakes(begin: Begin) -> None:
    held = begin()
    held.leave({88: Knot.BACKWARD_FORWARD}, {110: None, 115: None})
    held.tie([110])
    assert known_mistakes.planned_words(held).startswith("To change: row ")
    assert known_mistakes.known(held) == [88]
    assert known_mistakes.left_wrong(held, 110).startswith("Changed on purpose: left out, in the chart ")
    words = known_mistakes.taken_back_words(held, 88)
    assert "As charted again. Its planned change is dropped: row " in words
    assert "Changed already because of it, and wrong now: row " in words
    known_mistakes.take_back(held, 88)
    assert held.mistakes == {110: None}
    assert held.changes == {}
    assert known_mistakes.known(held) == [110]
    held.mark_wrong(110)
    held.untie(110)
    assert held.whole.how_made(110) is held.charted.how_made(110)


def test_going_back_before_a_wrong_knot_says_what_is_forgotten(begin: Begin) -> None:
    held = begin()
    held.leave({88: Knot.BACKWARD_FORWARD}, {115: None})
    texts = jump_targets.meaning(held, "knot", held.order.sequence[:80])
    said = next(text for text in texts if text.startswith("No longer known as wrong: row 17, "))
    assert "No longer planned: row " in said
    assert not any("No longer known" in text for text in jump_targets.meaning(held, "knot", held.order.sequence[:100]))


def test_what_was_told_is_taken_back_and_forgotten(begin: Begin) -> None:
    held = begin()
    went = WhatWentWrong(held)
    went.tell(80, "plum")
    went.cannot_tell(70)
    assert went.take_back()
    assert went.shows == {80: "plum"}
    assert went.take_back()
    assert not went.take_back()
    went.tell(80, None)
    went.hang(["plum"] * 12)
    went.forget()
    assert went.shows == {}
    assert went.seen == ["plum"] * 12


def test_what_each_way_costs(begin: Begin) -> None:
    held = begin()
    ways = WaysOn(held, WrongKnots({88: Knot.BACKWARD_FORWARD}))
    out = held.progress.must_come_out(88)
    assert ways.cost(WayOn.TAKE_OUT).briefly == f"take out: {len(out)}"
    assert not ways.can_choose(WayOn.MEND)
    ways.take_in(ways.look_for_mending())
    assert ways.mending is not None
    assert ways.mending.changes
    assert ways.can_choose(WayOn.MEND)
    assert ways.cost(WayOn.MEND).briefly == f"change: {len(ways.changes)}"
    mended = ways.mended
    assert mended is not None
    tied = held.progress.is_tied
    assert ways.mending.shows == sum(not tied(step) for step in ways.mended_otherwise)
    assert ways.hang_at_the_end(mended) == ways.hang_at_the_end(held.whole)
    assert len(ways.mended_otherwise) <= len(ways.accepted)
    already = [step for step in ways.accepted if tied(step)]
    assert already
    assert 88 not in already
    by_hand = [
        step
        for step in range(held.whole.size)
        if step != 88 and colour_shown(ways.left_as_it_is, step) != colour_shown(held.whole, step)
    ]
    assert ways.accepted == by_hand, "also those that are tied already"
    said = f"{len(by_hand)} later knots in another colour, {len(already)} of them tied already."
    assert said in ways.cost(WayOn.LEAVE).says
    assert ways.wrong_words() == "row 17, first from the left: backward-forward instead of forward"


def test_the_strings_that_hang_right_need_no_change(begin: Begin) -> None:
    held = begin()
    ways = WaysOn(held, WrongKnots({109: Knot.FORWARD}))
    assert held.whole.how_made(109) is Knot.BACKWARD
    ways.take_in(ways.look_for_mending())
    assert ways.cost(WayOn.MEND).briefly == "change: 0"
    assert not ways.can_choose(WayOn.MEND)
    assert ways.cost(WayOn.LEAVE).says[1:] == ["No later knot shows it.", "The strings end as charted."]


def test_no_change_after_the_last_row(begin: Begin) -> None:
    held = begin(FOUR_KNOTS, done=5)
    ways = WaysOn(held, WrongKnots({0: Knot.FORWARD}))
    ways.take_in(ways.look_for_mending())
    assert ways.cost(WayOn.MEND).briefly == "no change"


def test_a_way_is_chosen_and_taken_back_in_one_press(begin: Begin) -> None:
    held = begin()
    ways = WaysOn(held, WrongKnots({88: Knot.BACKWARD_FORWARD}))
    ways.take_in(ways.look_for_mending())
    planned = dict(ways.changes)
    ways.choose(WayOn.MEND)
    assert (held.mistakes, held.changes) == ({88: Knot.BACKWARD_FORWARD}, planned)
    assert known_mistakes.left_wrong(held, 88) == "Left wrong: backward-forward, should be forward."
    known_mistakes.take_back(held, 88)
    assert (held.made, held.changes) == ({}, {})
    assert known_mistakes.left_wrong(held, 88) == ""


def test_places_in_words(begin: Begin) -> None:
    held = begin()
    assert place_of(held, 88) == "row 17, first from the left"
    assert rows_back(held, 88) == "3 rows back"
    assert rows_back(held, 109) == "in your last row"
    held.leave({88: None}, {})
    assert place_of(held, 89) == "row 17, first from the left", "a knot that is not there is not counted"


def test_another_family_has_nothing_to_ask(begin: Begin) -> None:
    assert not WhatWentWrong(begin(PICTURE, done=8)).possible
    assert not WhatWentWrong(begin(done=0)).possible


ALIKE = """\
benchmate: 1
title: Alike in twos
family: diagonal
colours: {moss: "#4a5d23", sand: "#d9c089"}
strings: [moss, moss, sand, sand, moss]
rows:
  - {start: 2, knots: "b fb"}
  - {start: 2, knots: "bf f"}
"""
NOT_TOLD = "Only what you could not tell would tell them apart: "


def test_what_could_not_be_told_is_named_where_it_alone_would_tell(begin: Begin) -> None:
    held = begin()
    named = 0
    for step in range(40, 110, 3):
        band = held.whole.made_otherwise(
            {step: next(way for way in EVERY_KIND if swaps(way) != swaps(held.whole.how_made(step)))}
        )
        went = WhatWentWrong(held)
        went.hang(hanging(held, band))
        went.found = went.look()
        while went.question is not None:
            assert went.alike_words == ""
            went.cannot_tell(went.question.step)
            went.found = went.look()
        if len(went.explanations) < 2:
            assert went.alike_words == ""
            continue
        assert went.alike_words.startswith(NOT_TOLD)
        for place in went.alike_words.removeprefix(NOT_TOLD).rstrip(".").split("; "):
            number = next(number for number in held.progress.history if place_of(held, number) == place)
            told = WhatWentWrong(held)
            told.hang(hanging(held, band))
            told.tell(number, colour_shown(band, number))
            told.found = told.look()
            left, before = (sum(len(knot.made) for (knot,) in each.explanations) for each in (told, went))
            assert left < before
            named += 1
    assert named > 10


def test_it_is_said_where_nothing_on_the_band_tells_two_explanations_apart(begin: Begin) -> None:
    held = begin(ALIKE, done=4)
    went, _ = asked_out(held, {1: Knot.BACKWARD, 2: Knot.FORWARD})
    assert len(went.explanations) > 1
    assert went.alike_words == NOTHING_TELLS
