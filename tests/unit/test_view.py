"""What the step screen shows at one moment, as plain values."""

from pathlib import Path

import pytest

from benchmate.bench.step.view import view_of
from benchmate.bench.zones.view_values import COMING, NEUTRAL_FIELD, View
from benchmate.craft.pace import ENOUGH_KNOTS, Pace, Press, time_left
from benchmate.piece_opening import Kept
from benchmate.piece_questions.trouble.beside_the_step import Quiet
from benchmate.store.open_piece import OpenPiece
from tests.screen.benches import CHEVRON, FOUR_KNOTS, WRITTEN, begun, written_to

STRAW, PLUM, MOSS, INK, SAND = "#e8d48b", "#5d1a4a", "#43602f", "#14213d", "#e5d3b3"


@pytest.fixture
def four(kept: Kept, tmp_path: Path) -> OpenPiece:
    """A piece with each of the four knots, begun with none."""
    return begun(kept, written_to(tmp_path, FOUR_KNOTS)).held


@pytest.fixture
def chevron(kept: Kept, tmp_path: Path) -> OpenPiece:
    """Six strings, 30 knots, none tied."""
    return begun(kept, written_to(tmp_path, CHEVRON)).held


def pair(view: View) -> list[tuple[int, str, bool, int]]:
    """The two strings: position, name of the colour, whether it makes the knot, and where it ends."""
    assert view.left is not None
    assert view.right is not None
    return [(side.position, side.say, side.makes, side.ends) for side in (view.left, view.right)]


def test_the_pair_for_each_of_the_four_knots(four: OpenPiece) -> None:
    # Common practice: forward and forward-backward are made with the left string, the others with the right one;
    # forward and backward change places.
    seen = []
    while four.progress.next is not None:
        view = view_of(four)
        seen.append((view.word, *pair(view)))
        four.tie([four.progress.next])
    assert seen == [
        ("forward-backward", (1, "ink", True, 1), (2, "sand", False, 2)),
        ("backward-forward", (3, "sand", False, 3), (4, "ink", True, 4)),
        ("forward", (2, "sand", True, 3), (3, "sand", False, 2)),
        ("backward", (1, "ink", False, 2), (2, "sand", True, 1)),
        ("forward", (3, "sand", True, 4), (4, "ink", False, 3)),
    ]


def test_the_field_is_the_knotting_strings_colour(four: OpenPiece) -> None:
    assert view_of(four).field == INK
    four.tie([0])
    four.tie([1])
    assert view_of(four).field == SAND


def test_the_strings_as_they_hang(four: OpenPiece) -> None:
    assert [string.colour for string in view_of(four).strings] == [INK, SAND, SAND, INK]
    four.jump(4)
    view = view_of(four)
    assert [string.colour for string in view.strings] == [SAND, INK, SAND, INK]
    tags = dict(zip((string.colour for string in view.strings), (string.tag for string in view.strings), strict=True))
    assert len(set(tags.values())) == 2


def test_colours_have_the_names_of_the_design(chevron: OpenPiece) -> None:
    view = view_of(chevron)
    assert pair(view)[1][1] == "mossy green"
    assert view.coming[1].words == "backward, 6 plum over 5 mossy green"
    assert view.coming[1].brief == "b, 6 plum over 5 mossy green"
    assert view.coming[1].short == "b 6/5"
    assert view.coming[1].colours == (PLUM, MOSS)


@pytest.mark.parametrize(("done", "ahead"), [(0, 3), (26, 3), (27, 2), (28, 1), (29, 0)])
def test_three_steps_ahead_as_far_as_there_are_any(chevron: OpenPiece, done: int, ahead: int) -> None:
    chevron.jump(done)
    assert COMING == 3
    assert len(view_of(chevron).coming) == ahead


def test_row_knot_and_share(chevron: OpenPiece) -> None:
    seen = set()
    for done in range(30):
        chevron.jump(done)
        view = view_of(chevron)
        assert (view.done, view.of, view.n, view.mode) == (done, 30, done + 1, "tie")
        assert view.share == done * 100 // 30
        seen.add(view.where)
    assert seen == {f"row {row} of 12" for row in range(1, 13)}


def test_all_is_done_only_when_it_is(chevron: OpenPiece) -> None:
    chevron.jump(29)
    assert view_of(chevron).share == 96
    chevron.jump(30)
    view = view_of(chevron, press="row", notice="Saved.")
    assert (view.mode, view.word, view.share, view.number, view.n) == ("done", "all done", 100, None, 0)
    assert (view.left, view.right, view.coming, view.where, view.this_press) == (None, None, (), "", ())
    assert (view.field, view.notice) == (NEUTRAL_FIELD, "Saved.")


def test_no_hundred_percent_before_the_end(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, CHEVRON), repeats=100).held
    held.jump(held.whole.size - 1)
    assert view_of(held).share == 99


def pressed(held: OpenPiece, knots: int, every: float = 10.0) -> None:
    """Gives a piece the presses of so many knots, evenly apart."""
    held.presses = [Press(every * at, 1, held.whole.main.first + at) for at in range(knots)]


def test_time_left_is_known_from_enough_knots_on(chevron: OpenPiece) -> None:
    for knots in range(ENOUGH_KNOTS + 1):
        pressed(chevron, knots)
        assert view_of(chevron).time_left == ""
    pressed(chevron, ENOUGH_KNOTS + 1)
    assert view_of(chevron).time_left == "about 5 min left"
    chevron.jump(10)
    pressed(chevron, ENOUGH_KNOTS + 1)
    assert view_of(chevron).time_left == "about 3 min left"
    pressed(chevron, ENOUGH_KNOTS + 1)
    # Five seconds and twenty by turns: nobody knows yet which it will be.
    chevron.presses = [press._replace(at=12.5 * at + 7.5 * (at % 2)) for at, press in enumerate(chevron.presses)]
    assert view_of(chevron).time_left == "about 2 to 7 min left"


def test_written_steps_of_a_start_say_nothing_of_the_time_left(kept: Kept, tmp_path: Path) -> None:
    (tmp_path / "begin.yaml").write_text(WRITTEN)
    held = begun(kept, written_to(tmp_path, CHEVRON + "start: begin\nfinish: begin\n"), done=0).held
    first, size = held.whole.main.first, held.whole.main.work.size
    assert first
    slow = [Press(100.0 * at, 1, at) for at in range(first)]
    held.presses = slow * ENOUGH_KNOTS
    assert view_of(held).time_left == ""
    held.jump(first + 1)
    pressed(held, ENOUGH_KNOTS + 1)
    held.presses = [*slow, *(press._replace(at=1000 + press.at) for press in held.presses)]
    quick = view_of(held).time_left
    assert quick == time_left(Pace(10, 10, 10), size - 1)
    held.jump(first + size)
    pressed(held, ENOUGH_KNOTS + 1)
    assert view_of(held).mode == "tie"
    assert view_of(held).time_left == "", "the band is done"


def test_a_piece_in_written_steps_has_no_time_left(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, WRITTEN), done=0).held
    pressed(held, 3 * ENOUGH_KNOTS)
    assert view_of(held).time_left == ""


def test_the_steps_of_one_press(chevron: OpenPiece) -> None:
    assert view_of(chevron).this_press == ()
    assert len(view_of(chevron, press="row").this_press) == 3
    chevron.tie([0])
    assert len(view_of(chevron, press="row").this_press) == 2


def test_a_quiet_line_stands_beside_a_knot_to_tie_only(chevron: OpenPiece) -> None:
    rest = Quiet("Rest your hands.", rest=True)
    view = view_of(chevron, quiet=rest)
    assert (view.quiet, view.rest) == ("Rest your hands.", True)
    assert not view_of(chevron).rest
    chevron.tie([0])
    chevron.mark_wrong(0)
    assert view_of(chevron, quiet=rest).quiet == ""


def test_a_string_to_lay_in_comes_first(chevron: OpenPiece) -> None:
    view = view_of(chevron, quiet=Quiet("Lay in a new plum in this knot.", first="lay in a new plum"))
    assert (view.before, view.before_in_brief, view.quiet) == ("lay in a new plum", "lay in a new plum", "")


def test_on_the_way_to_a_wrong_knot(chevron: OpenPiece) -> None:
    for number in range(8):
        chevron.tie([number])
    chevron.mark_wrong(1)
    steps = []
    while chevron.wrong is not None:
        view = view_of(chevron, press="row")
        assert (view.mode, view.this_press, view.time_left, view.rest) == ("undo", (), "", False)
        assert view.number == chevron.must_come_out()[0]
        steps.append((view.word, view.out, view.note, len(view.coming), pair(view)))
        chevron.untie(chevron.must_come_out()[0])
    # Both knots of row 2 rest on the second knot, and all three of row 3 on those.
    assert [(word, count) for word, count, *_ in steps] == [
        ("undo backward", 6),
        ("undo forward", 5),
        ("undo forward", 4),
        ("undo backward", 3),
        ("undo forward", 2),
        ("undo the wrong knot", 1),
    ]
    assert steps[0][2] == "6 to undo, this one first"
    assert steps[-1][2] == "No knot is here if it was left out. This is the last to undo"
    # Before it is undone, the strings hang where the knot left them; of the wrong one it is not known how.
    assert steps[-2][4] == [(2, "straw", False, 3), (3, "plum", True, 2)]
    assert steps[-1][4] == [(3, "?", False, 3), (4, "?", False, 4)]
    assert [ahead for *_, ahead, _ in steps] == [3, 3, 3, 2, 1, 0]


def test_the_next_knots_to_undo_say_so(chevron: OpenPiece) -> None:
    chevron.jump(8)
    chevron.mark_wrong(0)
    assert all(step.words.startswith("then undo: ") for step in view_of(chevron).coming)


def test_written_steps(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, WRITTEN)).held
    view = view_of(held)
    assert (view.word, view.note) == ("Fold the string over a pin", "Leave a loop as wide as a button")
    assert (view.left, view.right, view.field, view.where) == (None, None, NEUTRAL_FIELD, "step 1 of 4")
    assert [step.words for step in view.coming] == ["Twist, 1 of 3", "Twist, 2 of 3", "Twist, 3 of 3"]
    assert all(step.colours == () for step in view.coming)
    held.tie([0])
    assert (view_of(held).word, view_of(held).note) == ("Twist", "1 of 3")


def test_steps_of_a_start_and_a_finish_say_so(kept: Kept, tmp_path: Path) -> None:
    written_to(tmp_path, WRITTEN, "loop.yaml")
    file = written_to(tmp_path, FOUR_KNOTS + "start: loop\nfinish: loop\n")
    held = begun(kept, file).held
    assert held.whole.size == 13
    where = []
    while held.progress.next is not None:
        where.append(view_of(held).where)
        held.tie([held.progress.next])
    assert where == [
        *(f"start: step {step} of 4" for step in range(1, 5)),
        *["row 1 of 3"] * 2,
        "row 2 of 3",
        *["row 3 of 3"] * 2,
        *(f"finish: step {step} of 4" for step in range(1, 5)),
    ]
