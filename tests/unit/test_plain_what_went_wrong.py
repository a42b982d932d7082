"""What went wrong and three ways on in plain mode, a line at a time."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.craft.knots import Knot
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions.trouble import what_went_wrong
from benchmate.piece_questions.trouble.knot_places import colour_shown, place_of
from benchmate.store.open_piece import OpenPiece
from tests.screen.benches import PICTURE, begun, written_to
from tests.screen.erring import TWELVE, hanging, letters
from tests.unit import test_plain_actions as plain
from tests.unit.test_plain_actions import Told

BACK_AGAIN = {88: Knot.BACKWARD_FORWARD}
Begin = Callable[..., OpenedPiece]


@pytest.fixture
def begin(kept: Kept, tmp_path: Path) -> Begin:
    """A piece of twelve strings with 110 knots tied."""

    def begin(text: str = TWELVE, *, done: int = 110) -> OpenedPiece:
        opened = begun(kept, written_to(tmp_path, text))
        opened.held.jump(done)
        return opened

    return begin


def answered(opened: OpenedPiece, *answers: str) -> Told:
    """What the piece prints after these answers, opened again."""
    opened.held.hold()
    return plain.answered(opened, *answers)


def seen(held: OpenPiece) -> str:
    """How the strings hang, with the wrong knot in it, as it is typed."""
    band = held.whole.made_otherwise(BACK_AGAIN)
    return "".join(letters(held)[name] for name in hanging(held, band))


def until_known(opened: OpenedPiece, *then: str) -> Told:
    """Answers what is asked by the band in the hands, then as given. Raises AssertionError when it never ends."""
    held = opened.held
    band = held.whole.made_otherwise(BACK_AGAIN)
    places = {place_of(held, number): number for number in held.progress.history}
    answers = [f"wrong strings {seen(held)}"]
    for _ in range(8):
        told = answered(opened, *answers, "q")
        if "How do you go on?" in told.out:
            return answered(opened, *answers, *then)
        question = next(line for line in told.out[::-1] if "? It is " in line)
        place = question.partition(":")[0]
        answers.append(letters(held)[colour_shown(band, places[place[0].lower() + place[1:]])])
    raise AssertionError(told.out)


def test_the_wrong_knot_is_found_and_taken_out(begin: Begin) -> None:
    opened = begin()
    told = until_known(opened, "1")
    assert "Row 17, first from the left: backward-forward instead of forward." in told.out
    assert opened.held.wrong == 88
    assert "take out" in told.steps[-1]


def test_later_knots_are_changed(begin: Begin) -> None:
    opened = begin()
    told = until_known(opened, "2")
    changes = opened.held.changes
    assert changes
    assert any(line.startswith("Left wrong. To change: row ") for line in told.out)
    planned = next(line for line in told.out if line.startswith("2: Leave it, make ")).partition(" To change: row ")[2]
    assert planned
    told = answered(opened, "where", "wrong known", "", "wrong drop", "")
    to_change = f"To change: row {planned}"
    assert [line for line in told.others if line == to_change] == [to_change] * 3
    assert to_change in told.err, "on coming back"
    assert opened.held.changes == changes
    told = answered(opened, "wrong drop", "1", "wrong drop")
    assert opened.held.changes == {}
    assert f"No longer planned: row {planned} As in the chart again." in told.out
    assert "No change is planned." in told.err


def test_it_is_left_and_known_later(begin: Begin) -> None:
    opened = begin()
    until_known(opened, "3")
    assert opened.held.made == BACK_AGAIN
    told = answered(opened, "wrong", "known", "1", "")
    assert any("Left wrong: backward-forward, should be forward." in line for line in told.out)
    told = answered(opened, "wrong known", "1", "4", "wrong known")
    assert opened.held.made == {}
    assert "As charted again." in told.out
    assert told.out[-1] == told.steps[-1], "the step is said after it"
    assert "No wrong knot is known." in told.err


def test_strings_are_asked_for_from_the_list_of_knots(begin: Begin) -> None:
    opened = begin()
    told = answered(opened, "wrong", "strings", "x", "psm", "3=i, 6=m, 8=m", "q")
    assert (
        "As charted they hang, from the left: plum, straw, moss, plum, ink, 2 moss, ink, plum, moss, straw, plum."
        in (told.out)
    )
    assert told.err == [
        "No colour is called x. p plum, s straw, m moss, i ink",
        "There are 12 strings; you typed 3.",
    ]
    assert "Nothing is changed." in told.out
    assert opened.held.made == {}


def test_as_charted_and_nothing_fits(begin: Begin) -> None:
    opened = begin()
    made = {56: Knot.FORWARD_BACKWARD, 69: Knot.FORWARD_BACKWARD, 106: Knot.FORWARD_BACKWARD}
    band = opened.held.whole.made_otherwise(made)
    three = "".join(letters(opened.held)[name] for name in hanging(opened.held, band))
    told = answered(opened, "wrong strings", "same", f"wrong strings {three}", "i" * 12, "i", "", "q")
    assert "The strings hang as they should. A wrong knot then shows only in its own colour: point at it." in told.out
    assert "Type wrong to point at a knot." in told.out
    assert what_went_wrong.EXPLAINED_BY_NOTHING.format("undo") in told.out
    at = told.out.index(what_went_wrong.EXPLAINED_BY_NOTHING.format("undo"))
    assert told.out[at + 1].startswith("As you typed they hang"), "it says to look again, so it asks again"
    at = told.out.index("You typed 12 ink; the piece has 2. Look at the strings again.")
    assert told.out[at + 1].startswith("As you typed they hang")
    assert told.err == ["There are 12 strings; you typed 1."]


def test_in_a_long_band_it_is_said_among_which_knots_two_were_looked_for(
    begin: Begin, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(what_went_wrong, "PAIRS_AMONG", 100)
    opened = begin()
    made = {56: Knot.FORWARD_BACKWARD, 69: Knot.FORWARD_BACKWARD, 106: Knot.FORWARD_BACKWARD}
    band = opened.held.whole.made_otherwise(made)
    three = "".join(letters(opened.held)[name] for name in hanging(opened.held, band))
    told = answered(opened, f"wrong strings {three}", "", "q")
    assert any(line.startswith("Neither one wrong knot nor two of the last 100 explain that. ") for line in told.out)


def test_a_knot_is_pointed_at(begin: Begin) -> None:
    opened = begin()
    # Knot 110 is backward; forward, it shows the other colour, and the strings hang the same.
    told = answered(opened, "wrong 110", "2", "m", "straw", "back", "s", "same", "1")
    offered = "p plum, s straw, i ink, - no knot"
    assert told.err == [f"That is no answer here. Type {offered}, back, or an empty line to leave it."]
    assert "Row 20, first from the right: forward instead of backward." in told.out
    assert opened.held.mistakes == {109: Knot.FORWARD}
    assert opened.held.wrong == 109
    opened.held.hold()
    opened.held.unmark_wrong()
    told = answered(opened, "wrong 109", "3", "3", "")
    assert "How did you make it?" in told.out
    assert opened.held.mistakes == {109: Knot.FORWARD}


def test_answers_are_taken_back_and_listed(begin: Begin) -> None:
    opened = begin()
    told = answered(opened, f"wrong strings {seen(opened.held)}", "?", "back", "nonsense", "list", "back", "back", "")
    assert told.err[0].startswith("That is no answer here. Type ")
    assert "Which is it?" in told.out
    assert any(line.startswith("As you typed they hang") for line in told.out), "back from the first question"
    assert told.out[-2] == "Nothing is changed."
    questions = [line for line in told.out if "? It is " in line]
    assert questions[0] == questions[2] == questions[3] != questions[1]
    assert opened.held.made == {}


def test_how_it_was_made_is_asked_where_nobody_said_it(begin: Begin) -> None:
    opened = begin()
    chosen = [f"wrong strings {seen(opened.held)}", "1", "?"]
    told = answered(opened, *chosen, "4", "back", "4", "1", "keep", "wrong known")
    at = told.out.index("How did you make it?")
    assert told.out[at - 1] == "Taken as wrong: this knot. Row 17, first from the left."
    assert [line.partition(",")[0] for line in told.out[at + 1 : at + 5]] == [
        "1: forward-backward",
        "2: backward-forward",
        "3: left out",
        "4: can't tell",
    ]
    assert told.out.count("How did you make it?") == 2, "back from the ways on"
    assert "Row 17, first from the left: wrong, made in a way not known." in told.out
    assert "It can only be taken out: the other ways rest on how it was made." in told.out
    assert not any(line.startswith("2: Leave it") for line in told.out)
    assert any("take out" in line for line in told.steps)
    assert opened.held.made == {}
    assert "No wrong knot is known." in told.err
    told = answered(opened, *chosen, "3", "2")
    assert "Row 17, first from the left: left out instead of forward." in told.out
    assert opened.held.mistakes == {88: None}


def test_after_three_answers_in_a_row_that_nobody_could_tell_it_is_said_how_to_take_one(begin: Begin) -> None:
    opened = begin()
    take_one = "Can't tell any more? list: see each, a number takes one."
    told = answered(opened, f"wrong strings {seen(opened.held)}", "?", "?", "back", "?", "?", "back", "")
    at = told.out.index(take_one)
    questions = [number for number, line in enumerate(told.out) if "? It is " in line]
    assert told.out.count(take_one) == 1
    assert questions.index(at + 1) == 5, "it stands before the question after the third in a row"


def test_it_is_said_why_nothing_is_asked_any_more(begin: Begin) -> None:
    opened = begin()
    told = answered(opened, f"wrong strings {seen(opened.held)}", *["?"] * 40, "q")
    at = told.out.index("Which is it?")
    assert " knots could be wrong. Only what you could not tell would tell them apart: row " in told.out[at - 1]


def test_a_chosen_knot_stays_the_one(begin: Begin) -> None:
    opened = begin()
    told = answered(opened, f"wrong strings {seen(opened.held)}", "1", "m", "3")
    assert "Row 17, first from the left: backward-forward instead of forward." in told.out
    after = told.out[told.out.index("Taken as wrong: this knot.") :]
    assert not any(line.endswith(" could be wrong.") for line in after)
    assert opened.held.mistakes == BACK_AGAIN


def test_only_what_can_be_done_is_offered_instead_of_a_number(begin: Begin) -> None:
    def offers(opened: OpenedPiece) -> str:
        return next(line for line in answered(opened, "wrong", "q").out if line.startswith("Or type "))

    opened = begin()
    assert "known" not in offers(opened)
    opened.held.hold()
    opened.held.leave(BACK_AGAIN, {115: None})
    assert all(word in offers(opened) for word in ("strings: ", "known: ", "drop: ", "lost: "))
    assert "strings: " not in offers(begin(PICTURE, done=8)), "it would be refused"


def test_a_jump_says_which_wrong_knot_is_forgotten(begin: Begin) -> None:
    opened = begin()
    opened.held.leave(BACK_AGAIN, {})
    told = answered(opened, "jump row 5", "1")
    assert "No longer known as wrong: row 17, first from the left." in told.out
    assert opened.held.made == {}


def test_undoing_a_wrong_knot_says_what_is_no_longer_planned(begin: Begin) -> None:
    opened = begin()
    opened.held.leave({109: None}, {115: Knot.FORWARD})
    planned = "No longer planned: row "
    told = answered(opened, "undo")
    assert any(line.startswith("No longer known as wrong: row 20, ") and planned in line for line in told.out)
    opened.held.hold()
    opened.held.tie([109])
    opened.held.leave({109: None}, {115: Knot.FORWARD})
    told = answered(opened, "wrong 110", "1", "")
    assert any(line.startswith(planned) for line in told.out)
    assert "All undone. Tie this step again. If the strings hang wrong now: wrong strings." in told.err


def test_a_search_is_stopped_by_a_word(begin: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = begin()
    monkeypatch.setattr("benchmate.plain.stopped_by_word.LOOK_FOR_WORD", -1.0)
    monkeypatch.setattr("benchmate.plain.answers.Answers.comes_next", lambda _, word: word == "keep")
    told = answered(opened, "wrong 89", "3", "3", "")
    assert "Search stopped." in told.out
    assert "The search was stopped." in told.out
    assert opened.held.made == {}


def test_in_a_picture_the_colour_of_a_wrong_knot_tells_what_must_come_out_first(begin: Begin) -> None:
    opened = begin(PICTURE, done=13)
    told = answered(opened, "wrong 8", "2", "deep", "back", "2", "", "wrong 13", "")
    assert any(line.endswith(". If it is deep, undo 4 knots to reach it, last first.") for line in told.out)
    assert told.out.count("2: it shows another colour") == 3, "again after back, and of the last knot"
    assert any(line.endswith(", rust over 3. Undo only this one.") for line in told.out), "nothing is later"
    assert told.err == ["That is no answer here. Type f foam, r rust, back, or an empty line to leave it."]
    assert opened.held.wrong is None
    answered(opened, "wrong 8", "2", "foam")
    assert (opened.held.marked, opened.held.must_come_out()) == ((7, 9), [12, 11, 10, 9, 8, 7])


def test_other_families_and_empty_pieces(begin: Begin) -> None:
    told = answered(begin(PICTURE, done=8), "wrong strings", "wrong 8", "2", "")
    assert "Only a diagonal band can say what went wrong. Point at the wrong knot." in told.err
    assert answered(begin(done=0), "wrong strings", "wrong known").err == [
        "Nothing is tied yet.",
        "No wrong knot is known.",
    ]


def test_a_knot_left_wrong_is_recalled_at_the_end(begin: Begin) -> None:
    opened = begin(done=142)
    opened.held.leave(BACK_AGAIN, {})
    opened.held.hold()
    assert "1 knot left wrong: wrong known." in plain.answered(opened, "", person=True).out
