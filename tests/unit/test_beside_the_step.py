"""What is said beside the steps, and when: a string to lay in, one that runs short, a rest, small trouble."""

import re
from collections.abc import Sequence
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.thread.cut_list import Length
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions.trouble import small_trouble
from benchmate.piece_questions.trouble.beside_the_step import Quiet, QuietLines
from benchmate.settings import DEFAULTS, Settings
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.cuts import Cut
from tests.screen.benches import CHEVRON, PICTURE, ROPE, STRIPE, WRITTEN, begun, written_to

LONG = CHEVRON.replace("repeats: 3", "repeats: 30")
SILENT = DEFAULTS._replace(tips="off", rest=0)


class Sitting:
    """A piece, its quiet lines, and clocks that a test sets."""

    def __init__(self, kept: Kept, held: OpenPiece) -> None:
        self.held = held
        self.at = 0.0
        self.lines = QuietLines(kept.pieces)

    def look(
        self, settings: Settings = SILENT, steps: Sequence[int] | None = None, *, calm: bool = True
    ) -> Quiet | None:
        """The line at the step to do now."""
        steps = self.held.progress.coming(1) if steps is None else steps
        stays = self.lines.at_this_step(self.held, steps)
        return stays or self.lines.in_passing(self.held, settings, "u, l", calm=calm)

    def tie(self, settings: Settings = SILENT, seconds: float = 5.0) -> str:
        """Ties the step; the line after it."""
        self.at += seconds
        self.held.tie(self.held.progress.coming(1))
        self.held.presses[-1] = self.held.presses[-1]._replace(at=2e9 + self.at)
        self.lines.press(self.held, self.at)
        found = self.look(settings)
        return "" if found is None else found.text


@pytest.fixture
def opened(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """A band of 120 rows with 60 knots tied, the string that hangs first measured: it gives out at knot 80."""
    opened = begun(kept, written_to(tmp_path, LONG), done=60)
    opened.held.measure(1, 100)
    return opened


def told(sitting: Sitting, knots: int) -> dict[int, str]:
    """What is said at each of the next knots, by its number."""
    found = {}
    for _ in range(knots):
        text = sitting.tie()
        if text:
            found[sitting.held.progress.done + 1] = text
    return found


AHEAD = "Plum at 2 probably runs short in row 32; lay in a new one by row 29, knot 73. u, l: measure it."
ROW = "In this row, lay in a new plum beside plum at 5, at row 29, knot 73."
HERE = "Lay in a new plum in this knot, beside plum at 5, which is carried: that hides the join."
IN = "Is the new plum in? u, l: say how long it is."


def test_each_thing_is_said_at_its_step_and_not_before(kept: Kept, opened: OpenedPiece) -> None:
    found = told(Sitting(kept, opened.held), 30)
    assert {knot: text for knot, text in found.items() if knot != 80} == {62: AHEAD, 71: ROW, 72: ROW, 73: HERE, 74: IN}
    assert found[80] == "Plum at 5 may give out here, unless a new one is in."


def test_leaving_keeps_what_is_to_be_said(kept: Kept, opened: OpenedPiece) -> None:
    held = opened.held
    for number in held.progress.coming(12):
        held.tie([number])
    held.let_go()
    again = openings.resume_listed(kept, kept.pieces.all()[0])
    again.held.hold()
    assert again.held is not held
    sitting = Sitting(kept, again.held)
    found = sitting.look()
    assert found is not None
    assert (found.text, found.spoken) == (HERE, "lay in a new plum in this knot")
    assert sitting.tie() == IN
    again.held.let_go()
    later = openings.resume_listed(kept, kept.pieces.all()[0])
    later.held.hold()
    later.held.join(1, 2000)
    assert told(Sitting(kept, later.held), 12) == {}, "a new string has taken over"


@pytest.mark.parametrize("just_tied", [12, 0])
def test_opened_after_a_new_one_was_to_be_laid_in_it_is_not_said_that_nothing_hides_the_join(
    kept: Kept, opened: OpenedPiece, monkeypatch: pytest.MonkeyPatch, just_tied: int
) -> None:
    monkeypatch.setattr("benchmate.piece_questions.trouble.beside_the_step.JUST_TIED", just_tied)
    held = opened.held
    for number in held.progress.coming(15):
        held.tie([number])
    sitting = Sitting(kept, held)
    text = "Plum at 6 probably runs short in row 32, unless a new one is in. u, l: say how long it is."
    assert told(sitting, 3) == {77: IN if just_tied else text}
    held.join(1, 2000, done=73)
    assert told(sitting, 12) == {}


def test_undone_and_tied_again_it_is_said_again(kept: Kept, opened: OpenedPiece) -> None:
    sitting = Sitting(kept, opened.held)
    told(sitting, 12)
    opened.held.back()
    found = sitting.look()
    assert found is not None
    assert found.text == ROW
    assert sitting.tie() == HERE


def test_a_string_is_laid_in_again_where_the_knot_of_its_new_one_was_undone(kept: Kept, opened: OpenedPiece) -> None:
    held = opened.held
    sitting = Sitting(kept, held)
    first = told(sitting, 30)
    assert {62: AHEAD, 73: HERE, 74: IN}.items() <= first.items()
    held.join(1, 2000)
    assert told(sitting, 5) == {}
    while held.progress.done > 66:
        held.back()
    found = told(sitting, 22)
    assert {knot: text for knot, text in found.items() if knot > 70} == {
        knot: first[knot] for knot in first if knot > 70
    }
    assert found[80] == "Plum at 5 may give out here, unless a new one is in."
    assert told(sitting, 10) == {}, "the new one is in again"


def test_a_press_of_a_row_says_the_knot(kept: Kept, opened: OpenedPiece) -> None:
    sitting = Sitting(kept, opened.held)
    told(sitting, 10)
    found = sitting.look(steps=opened.held.steps_of_press("row"))
    assert found is not None
    assert found.text == HERE.replace("in this knot", "at row 29, knot 73")


def test_a_press_of_a_long_row_is_asked_about_too(kept: Kept, tmp_path: Path) -> None:
    strings, rows = ", ".join(["plum"] * 30), [" ".join(["f"] * pairs) for pairs in (15, 14)]
    text = f"{CHEVRON.partition('strings:')[0]}strings: [{strings}]\nrows: {rows}\nrepeats: 9\n"
    held = begun(kept, written_to(tmp_path, text)).held
    sitting = Sitting(kept, held)
    held.measure(2, 90)
    (expected,) = [each for each in sitting.lines._short(held) if each.string == 2]
    assert expected.lay_in is not None
    asked = []
    while not held.progress.is_tied(expected.lay_in):
        held.tie(held.steps_of_press("row"))
        found = sitting.look(steps=held.steps_of_press("row"))
        asked.append("" if found is None else found.text)
    assert expected.lay_in not in held.progress.history[-12:]
    assert asked[-1].startswith("Is the new plum in?")


def test_nothing_is_said_while_a_knot_is_taken_out(kept: Kept, opened: OpenedPiece) -> None:
    sitting = Sitting(kept, opened.held)
    told(sitting, 11)
    opened.held.mark_wrong(opened.held.progress.history[-1])
    assert sitting.look(DEFAULTS) is None


def test_by_segments_it_is_said_at_the_same_knot(kept: Kept, opened: OpenedPiece) -> None:
    held = opened.held
    held.change_way("segments", from_right=False)
    held.use_plan(held.plan())
    sitting = Sitting(kept, held)
    said: dict[int, str] = {}
    for _ in range(60):
        number = held.progress.next
        text = sitting.tie()
        if text.startswith("Lay in a new plum in this knot"):
            said[held.progress.next or 0] = text
        assert number is not None
    assert len(said) == 1
    assert held.whole.passive(next(iter(said))) == 1


def test_a_string_cut_too_short_is_mentioned_rows_ahead_without_being_asked(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG)).held
    lengths = [Cut(Length("plum", (string,), 300.0 if string == 2 else 2000.0)) for string in range(1, 7)]
    held.keep_cut(("floss", lengths))
    sitting = Sitting(kept, held)
    found = told(sitting, 80)
    ahead = [text for text in found.values() if "probably runs short" in text]
    assert len(ahead) == 1, "once"
    assert ahead[0].startswith("Mossy green at ")
    first = min(found)
    row = held.whole.step(first - 1).row
    assert next(text for text in found.values() if text.startswith("Lay in")), "then at its step"
    gives_out = re.search(r"in row (\d+);", ahead[0])
    assert gives_out is not None
    assert int(gives_out[1]) - row >= 3


# Rests


def test_a_rest_is_offered_in_passing(kept: Kept, opened: OpenedPiece) -> None:
    opened.held.join(1, 5000)
    sitting, settings = Sitting(kept, opened.held), DEFAULTS._replace(tips="off")
    texts = [sitting.tie(settings, 60.0) for _ in range(71)]
    found = {minute: text for minute, text in enumerate(texts) if text}
    rest = "Rest your hands for 5 to 10 minutes: they have worked for {}. Stop when it hurts."
    assert found == {minutes: rest.format(minutes) for minutes in (50, 60, 70)}


def test_a_string_to_lay_in_comes_before_a_rest(kept: Kept, opened: OpenedPiece) -> None:
    sitting, settings = Sitting(kept, opened.held), DEFAULTS._replace(tips="off", rest=5)
    texts = [sitting.tie(settings, 25.0) for _ in range(14)]
    assert texts[11] == HERE
    assert texts[12].startswith("Rest your hands"), "at the first step without it"


# Small trouble


def test_small_trouble_is_mentioned_once_each_in_the_first_rows(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG)).held
    sitting = Sitting(kept, held)
    found: dict[str, int] = {}
    for _ in range(100):
        text = sitting.tie(DEFAULTS)
        if text:
            assert text not in found
            found[text] = held.whole.step(held.progress.next or 0).row
    assert found == {
        small_trouble.SHOWS: 1,
        small_trouble.PLACE: 2,
        small_trouble.EDGE: 3,
        small_trouble.TENSION: 4,
    }


@pytest.mark.parametrize("text", [LONG, PICTURE])
def test_a_colour_that_shows_through_is_mentioned_at_the_first_knot_of_two_colours(
    kept: Kept, tmp_path: Path, text: str
) -> None:
    held = begun(kept, written_to(tmp_path, text)).held
    sitting, whole = Sitting(kept, held), held.whole
    colour_of = whole.main.design.body.colour_of
    while sitting.tie(DEFAULTS) != small_trouble.SHOWS:
        number = held.progress.next
        assert number is not None
        assert colour_of(whole.knotting(number)) == colour_of(whole.passive(number))
    number = held.progress.next
    assert number is not None
    assert colour_of(whole.knotting(number)) != colour_of(whole.passive(number))


def test_an_edge_is_mentioned_only_where_a_string_waited(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, STRIPE)).held
    sitting = Sitting(kept, held)
    texts = [sitting.tie(DEFAULTS, 5) for _ in range(8)]
    assert small_trouble.EDGE not in texts, "the first knot of row 3 is in the middle"


def test_after_a_break_the_first_knots_are_compared(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG), done=90).held
    sitting = Sitting(kept, held)
    texts = [sitting.tie(DEFAULTS, gap) for gap in (5, 5, 400, 5)]
    assert texts == [small_trouble.BREAK, "", small_trouble.BREAK, ""]


def test_opening_a_piece_again_is_no_break(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG), done=90).held
    held.presses[:] = [press._replace(at=2e9) for press in held.presses]
    assert Sitting(kept, held).tie(DEFAULTS, 120) == ""
    assert Sitting(kept, held).tie(DEFAULTS, 120 + 400) == small_trouble.BREAK


def test_a_piece_begun_by_a_jump_or_in_a_lesson_had_no_break(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG)).held
    sitting = Sitting(kept, held)
    held.jump(60)
    held.presses[-1] = held.presses[-1]._replace(at=2e9)
    sitting.lines.press(held, 0.0)
    texts = [sitting.tie(DEFAULTS, gap) for gap in (60, 5, 400, 5)]
    assert texts == ["", "", small_trouble.BREAK, ""]


def test_taking_knots_out_is_no_break(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG), done=90).held
    sitting = Sitting(kept, held)
    held.mark_wrong(85)
    while held.wrong is not None:
        assert sitting.look(DEFAULTS) is None
        held.finish_step()
    held.presses[:] = [press._replace(at=2e9) for press in held.presses]
    assert [sitting.tie(DEFAULTS) for _ in range(3)] == ["", "", ""]


def test_small_trouble_is_silenced_and_waits_for_a_calm_step(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, LONG), done=2).held
    sitting = Sitting(kept, held)
    assert sitting.look(DEFAULTS._replace(tips="off")) is None
    assert sitting.look(DEFAULTS, calm=False) is None
    assert sitting.look(DEFAULTS) is not None


def test_in_pictures_strings_are_not_foretold_but_small_trouble_is(kept: Kept, tmp_path: Path) -> None:
    sitting = Sitting(kept, begun(kept, written_to(tmp_path, PICTURE)).held)
    texts = [sitting.tie(DEFAULTS) for _ in range(25)]
    assert [text for text in texts if text] == [small_trouble.SHOWS, small_trouble.TENSION]


def test_braids_and_written_steps_have_no_such_trouble(kept: Kept, tmp_path: Path) -> None:
    for text in (ROPE, WRITTEN):
        sitting = Sitting(kept, begun(kept, written_to(tmp_path, text)).held)
        assert [sitting.tie(DEFAULTS) for _ in range(3)] == [""] * 3
