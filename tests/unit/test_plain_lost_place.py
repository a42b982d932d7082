"""A lost place line by line: how the strings hang, a question at a time, then the place."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.craft.knots import Knot
from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN, begun, written_to
from tests.unit.test_plain_actions import Told, answered

Begin = Callable[..., OpenedPiece]


@pytest.fixture
def begin(kept: Kept, tmp_path: Path) -> Begin:
    def begin(text: str, done: int) -> OpenedPiece:
        return begun(kept, written_to(tmp_path, text), done=done)

    return begin


def last(told: Told) -> str:
    """The last step line, as far as its number."""
    return told.steps[-1].partition(" ")[0]


def test_the_place_is_found_and_set(begin: Begin) -> None:
    opened = begin(CHEVRON, 8)
    told = answered(opened, "lost", "pmssmp", "s", "1", "q")
    assert "same: as counted, straw, mossy green, 2 plum, mossy green, straw." in told.others
    assert "p plum, s straw, m mossy green; an empty line: leave it." in told.others
    asked = told.others.index("Look at the last knot: straw or no such knot?")
    assert told.others[asked - 1] == "3 places fit."
    assert told.others[-6:] == [
        "2 places fit.",
        "Which place is it?",
        "1: row 7, knot 16 next, 7 knots further",
        "2: the band is done, 22 knots further",
        "back: the question before; an empty line: leave it.",
        "Before the jump you were at knot 9.",
    ]
    assert last(told) == "16/30"
    assert opened.held.progress.done == 15


def test_a_wrong_knot_that_explains_the_place(begin: Begin) -> None:
    opened = begin(CHEVRON, 5)
    told = answered(opened, "where am i", "m m s s p p", "list", "3", "p", "1", "q")
    assert "None fits as charted. With one wrong knot, 5 places fit, in 6 ways." in told.others
    chosen = "row 7, knot 18 next, 12 knots further; wrong: row 4, first from the left"
    assert f"3: {chosen}" in told.others
    assert "Look at row 4, first from the left: mossy green, plum or no knot there?" in told.others
    assert f"{chosen}, made backward-forward" in told.others
    assert told.others[-1] == (
        "Before the jump you were at knot 6. Remembered: row 4, first from the left, made backward-forward."
    )
    # The pair hangs mossy green, plum there: plum, at the right, makes a backward-forward knot.
    assert opened.held.made == {8: Knot.BACKWARD_FORWARD}
    assert opened.held.progress.done == 17
    design = opened.held.whole.main.design
    assert "".join(design.say_of(string)[0] for string in opened.held.progress.hanging) == "mmsspp"


def test_a_search_is_stopped_by_a_word(begin: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = begin(CHEVRON, 5)
    monkeypatch.setattr("benchmate.families.diagonal.trouble.where_with_one_wrong.REPORTED", 1)
    monkeypatch.setattr("benchmate.plain.stopped_by_word.LOOK_FOR_WORD", -1.0)
    monkeypatch.setattr("benchmate.plain.answers.Answers.comes_next", lambda _, word: word == "keep")
    told = answered(opened, "lost", "m m s s p p")
    assert told.others[-1] == "Search stopped."
    assert not any("places fit" in line for line in told.others)
    assert opened.held.progress.done == 5


def test_answers_are_taken_back_and_unclear_ones_asked_again(begin: Begin) -> None:
    told = answered(
        begin(CHEVRON, 8), "lost", "pm", "pmssmx", "pmssmp", "back", "1=p", "z", "ps", "xyz", "5", "7", "1", "q"
    )
    assert told.err == [
        "There are 6 strings; you typed 2.",
        "No colour is called pmssmx. p plum, s straw, m mossy green",
        "No colour is called z. p plum, s straw, m mossy green",
        "One colour, please.",
        "No colour is called xyz. p plum, s straw, m mossy green",
        "None of these places is in row 5.",
    ]
    assert told.others.count("Look at the last knot: straw or no such knot?") == 2
    assert "same: as you typed, plum, mossy green, 2 straw, mossy green, plum." in told.others
    assert last(told) == "16/30"
    told = answered(begin(PICTURE, 8), "lost", "?", "back", "d", "back", "q", "q")
    asked = [line.partition(":")[0] for line in told.others if line.startswith("Look at ")]
    last_knot, before = "Look at the last knot", "Look at the second-last knot"
    assert asked == [last_knot, before, last_knot, before, last_knot]


def test_leaving_changes_nothing(begin: Begin) -> None:
    for before in ([], ["pmssmp"], ["pmssmp", "list"], ["pmssmp", "7"], ["pppppp"]):
        for leaves in ("", "q"):
            opened = begin(CHEVRON, 8)
            told = answered(opened, "lost", *before, leaves, "q")
            assert opened.held.progress.done == 8
            assert told.out[-2:] == ["Nothing is changed.", told.out[0]], (
                "not silence: an empty line more counts a knot"
            )


def test_strings_that_no_place_explains(begin: Begin) -> None:
    opened = begin(CHEVRON, 8)
    told = answered(opened, "lost", "pppppp", "pmssmp", "7", "1", "q")
    assert "No place fits, not even with one wrong knot." in told.others
    assert told.err == ["You typed 6 plum; the piece has 2. Look again."]
    assert opened.held.progress.done == 15, "the strings are asked again"
    told = answered(begin(CHEVRON, 8), "lost", "mmpssp", "q")
    assert told.err == ["Look at the strings again. Or there is more than one wrong knot."]


def test_only_what_is_offered_is_taken(begin: Begin) -> None:
    told = answered(begin(PICTURE, 8), "lost", "r", "r", "-", "", "q")
    assert told.err == [
        "Every place that fits has such a knot. Type f foam, d deep, ? can't tell; back: the question before.",
    ]
    # A wrong knot may show it: typed again, it is looked for.
    told = answered(begin(CHEVRON, 8), "lost", "pmssmp", "m", "s", "back", "m", "m", "", "q")
    says = "No place that fits has mossy green there. Type s straw, - no knot, ? can't tell; back: the strings again."
    assert told.err[:2] == [f"{says} If it is so, type it again: a knot may be wrong."] * 2
    assert any(line.startswith("None fits as charted. With one wrong knot, ") for line in told.others)


def test_every_question_can_be_gone_back_from(begin: Begin) -> None:
    """At the list, and where one place is left, an answer too many does not cost what was answered before."""
    opened = begin(CHEVRON, 8)
    told = answered(opened, "lost", "pmssmp", "list", "back", "s", "back", "7", "back", "7", "1", "q")
    assert told.err == []
    assert opened.held.progress.done == 15


def test_where_nothing_was_moved_the_question_is_whether_anything_was(begin: Begin) -> None:
    told = answered(begin(ROPE, 0), "lost", "same", "-", "1", "q")
    assert "Look at the last strand moved: foam or no such move?" in told.others
    assert "repeat 1, move 1 next, where you were" in told.others


def test_places_of_a_braid_are_listed_with_their_repeat(begin: Begin) -> None:
    told = answered(begin(ROPE, 8), "lost", "32d 1d 8f 9f 16d 17d 24f 25f", "list", "1")
    assert "2: repeat 17, move 65 next, 56 moves further" in told.others


def test_a_picture_by_its_row_and_the_knots_in_it(begin: Begin) -> None:
    opened = begin(PICTURE, 8)
    told = answered(opened, "lost", "5", "3", "1", "q")
    assert "31 places fit." in told.others
    assert "6 places fit." in told.others
    assert "row 5, knot 24 next, 15 knots further" in told.others
    assert opened.held.progress.done == 23


def test_a_braid_by_its_slots(begin: Begin) -> None:
    opened = begin(ROPE, 8)
    told = answered(
        opened, "lost", "1d 2", "1d 1d", "1d 99f", "32d 1d 8f", "32d 1:deep 8=f 9f 16d 17d 24f 25f", "list", "1"
    )
    assert "same: as counted, " in " ".join(told.others)
    assert told.err[:4] == [
        "2 is no slot and its colour: 1d is slot 1.",
        "Slot 1 is there twice.",
        "99f is no slot and its colour: 1d is slot 1.",
        "There are 8 strands; you typed 3.",
    ]
    assert opened.held.progress.done in (0, 64, 128)


def test_written_steps_tell_no_place(begin: Begin) -> None:
    told = answered(begin(WRITTEN, 1), "lost", "q")
    assert told.err == ["Written steps tell no place. Type jump to go to one."]


def test_a_picture_with_a_wrong_knot(begin: Begin) -> None:
    """Knot 17 is red, which as charted only the end of the picture explains; the row is another one."""
    opened = begin(PICTURE, 8)
    told = answered(opened, "lost", "f", "f", "r", "2", "x", "9", "4", "r", "1", "", "q")
    at = told.others.index("1 place fits.")
    assert told.others[at + 1 : at + 6] == [
        "the band is done, 22 knots further",
        "1: go there",
        "2: it is another row",
        "back: the question before; an empty line: leave it.",
        "Type a number: the row; back: the question before; an empty line: leave it.",
    ]
    assert told.err[:2] == ["Type a number: the row.", "None of these places is in row 9."]
    assert "None fits as charted. With one wrong knot, 2 places fit." in told.others
    wrong = "row 4, second from the right, rust instead of deep"
    assert f"row 4, knot 20 next, 11 knots further; wrong: {wrong}" in told.others
    assert f"Before the jump you were at knot 9. Marked as wrong: {wrong}." in told.others
    # The press after it takes the wrong knot out; nothing rests on it.
    assert told.err[2:] == ["All undone. Tie this step again."]
    assert opened.held.progress.done == 18
    assert opened.held.progress.next == 16


def test_a_colour_that_no_place_has_is_looked_for_as_a_wrong_knot(begin: Begin) -> None:
    plain = PICTURE.replace("  .##.r\n  #..#.\n  ##rr.\nrepeats: 2", "  #....\n  .....\n  .....\n  r....\nrepeats: 1")
    told = answered(begin(plain, 8), "lost", "d", "r", "r", "q", "q")
    assert told.err == [
        "No place that fits has rust there. Type d deep, f foam, ? can't tell; back: the question before. "
        "If it is so, type it again: a knot may be wrong."
    ]
    assert "None fits as charted. With one wrong knot, 18 places fit." in told.others


def test_the_only_place_can_be_gone_back_from(begin: Begin) -> None:
    opened = begin(PICTURE, 8)
    told = answered(opened, "lost", "f", "f", "r", "2", "back", "d", "q", "q")
    assert told.others.count("Look at the third-last knot: deep, foam or rust?") == 2
    assert opened.held.progress.done == 8


MOVES = [(1, 15), (17, 31), (9, 23), (25, 7)]


def slots_after(done: int, wrong: int, made: tuple[int, int] | None) -> str:
    """The slots of the rope after so many moves, by letters, where move `wrong` was made so; None: left out."""
    lies = {32: "d", 1: "d", 8: "f", 9: "f", 16: "d", 17: "d", 24: "f", 25: "f"}
    for number in range(1, done + 1):
        source, target = ((slot - 1 - (number - 1) // 4) % 32 + 1 for slot in MOVES[(number - 1) % 4])
        if number == wrong:
            if made is None:
                continue
            source, target = made
        assert target not in lies
        lies[target] = lies.pop(source)
    return " ".join(f"{slot}{colour}" for slot, colour in lies.items())


@pytest.mark.parametrize(
    ("made", "how", "then", "marked"),
    [
        (None, "left out instead of 8 to 22", "Put it right now: 8 to 22.", None),
        ((8, 1), "8 to 1 instead of 8 to 22", "Put it right now: 1 to 22.", None),
        ((14, 22), "14 to 22 instead of 8 to 22", "Undo to it, and lay that strand back in 14.", 6),
    ],
)
def test_a_braid_with_a_wrong_move(
    begin: Begin, made: tuple[int, int] | None, how: str, then: str, marked: int | None
) -> None:
    opened = begin(ROPE, 8)
    told = answered(opened, "lost", slots_after(12, 7, made), *(["f"] if marked else []), "1", "q")
    assert "None fits as charted. With one wrong move, 2 places fit." in told.others
    place = f"repeat 4, move 13 next, 4 moves further; wrong: repeat 2, move 7, {how}"
    assert (place if marked else f"1: {place}") in told.others
    begins = "Marked as wrong" if marked else "Wrong"
    assert f"Before the jump you were at move 9. {begins}: repeat 2, move 7, {how}. {then}" in told.others
    assert (opened.held.progress.done, opened.held.wrong) == (12, marked)
