"""Spoken prompts for alpha bands and braids: the words of each rule at each level."""

import pytest

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.family import AnyFamily
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import Way, order_of
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt, sayable
from benchmate.design_files.load import load
from benchmate.families.alpha.body import Alpha, alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.alpha.work import AlphaWork
from benchmate.families.braid.body import Braid
from benchmate.families.braid.family import BRAID
from benchmate.piece_opening import whole_of as whole_of_file
from tests.listening import ahead_of

COLOURS = {"d": "deep", "f": "foam", "r": "rust"}


def piece(*rows: str, repeats: int = 1) -> WholePiece:
    """A picture from its rows, one letter a knot, begun on the left."""
    return whole_of(alpha("deep", tuple(tuple(COLOURS[letter] for letter in row) for row in rows)), ALPHA, repeats)


def whole_of(body: Alpha | Braid, family: AnyFamily, repeats: int = 1) -> WholePiece:
    colours = {name: Colour(name, "#000000", name) for name in COLOURS.values()}
    return whole_piece(Design("T", family, colours, body), None, None, repeats)


def said(whole: WholePiece, level: Level, press: str = "knot") -> list[str]:
    """The prompts of a whole piece, each press cut to what a prompt can say."""
    progress, tied, found = Progress(whole, by_rows(whole)), list[int](), []
    while progress.next is not None:
        ahead = ahead_of(progress, press)
        ahead = ahead[: sayable(whole, progress, ahead, level)]
        happened = Happened.TIED if tied else Happened.RESUMED
        found.append(prompt(whole, progress, happened, tied, level, ahead=ahead))
        for number in ahead:
            progress.tie(number)
        tied = ahead
    return found


def test_every_level_says_what_to_begin_cut_and_bring_across() -> None:
    whole = piece("ffdff", "fdddf")
    assert said(whole, Level.FULL) == [
        "row 1 of 2, 2 leading strings in all, up to 2 hanging at once; 4 ends to hide. Floats pass behind up to 3 "
        "columns; catch a long one under a knot on its way, begin a new foam, leave a 9 cm tail, 2 forward",
        "forward, last",
        "begin a new deep, leave a 9 cm tail, forward",
        "bring foam across the back, second from the left, 1 knot away, 2 forward",
        "forward, last",
        "row 1 done, turn, foam, backward",
        "bring deep across the back, the middle one, 1 knot away, 3 backward",
        "backward",
        "backward, last",
        "cut deep, leave a 9 cm tail, bring foam across the back, first from the right, 3 knots away, backward",
    ]
    assert said(whole, Level.SHORT) == [
        "row 1, begin foam, 2 forward",
        "forward, last",
        "begin deep, forward",
        "bring foam across, second from the left, 2 forward",
        "forward, last",
        "turn, backward",
        "bring deep across, the middle one, 3 backward",
        "backward",
        "backward, last",
        "cut deep, bring foam across, first from the right, backward",
    ]
    assert said(whole, Level.SPARSE) == [
        "row 1, begin foam, 2 forward",
        "last",
        "begin deep, 1",
        "bring foam, 2",
        "last",
        "turn, 1",
        "bring deep, 3",
        "2",
        "last",
        "cut, bring foam, 1",
    ]


def test_a_press_that_counts_a_run_or_a_row_says_it_too() -> None:
    whole = piece("ffdff", "fdddf")
    assert said(whole, Level.SPARSE, "run") == [
        "row 1, begin foam, 2 forward",
        "begin deep, 1",
        "bring foam, 2",
        "turn, 1",
        "bring deep, 3",
        "cut, bring foam, 1",
    ]
    assert said(whole, Level.SHORT, "row") == [
        "begin foam, 2 forward, then begin deep, forward",
        "bring foam across, second from the left, 2 forward",
        "turn, backward",
        "bring deep across, the middle one, 3 backward",
        "cut deep, bring foam across, first from the right, backward",
    ]
    assert said(whole, Level.FULL, "row")[1] == (
        "row 1 done, turn, foam, backward, then bring deep across the back, the middle one, 1 knot away, 3 backward, "
        "then cut deep, leave a 9 cm tail, bring foam across the back, first from the right, 3 knots away, backward"
    )


def test_a_string_of_which_more_hang_is_told_by_its_place() -> None:
    # Rust waits at the left and at the right while foam is knotted between.
    whole = piece("rffffffr", "rffffffr", "rffffffr")
    assert said(whole, Level.SHORT, "run") == [
        "row 1, begin rust, forward",
        "begin foam, 6 forward",
        "begin another rust, forward",
        "turn, backward",
        "pick up foam, 6 backward",
        "pick up rust, first from the left, backward",
        "turn, forward",
        "cut rust, pick up foam, 6 forward",
        "cut foam, pick up rust, forward",
    ]
    assert said(whole, Level.SPARSE, "run")[-4:] == [
        "pick up rust, first from left, 1",
        "turn, 1",
        "cut, pick up foam, 6",
        "cut, pick up rust, 1",
    ]


@pytest.mark.parametrize("name", ["knot-by-knot", "street-at-dusk"])
def test_of_two_strings_in_one_column_the_earlier_or_the_later_is_named(name: str) -> None:
    file = load(name)
    whole = whole_of_file(file, 1, Way())
    part, work = whole.main, whole.main.work
    assert isinstance(work, AlphaWork)
    last_of = {work.plan.leading(number): number for number in range(work.size)}
    hanging: dict[int, int] = {}
    found = set()
    progress = Progress.resume(whole, order_of(whole, Way()), range(part.first))
    for number in range(work.size):
        string, colour = work.plan.leading(number), work.knotting(number)
        words = prompt(whole, progress, Happened.RESUMED, (), Level.SPARSE)
        if string in hanging and hanging[string] != number - 1:
            place = work.passive(hanging[string])
            alike = [at for at in hanging.values() if (work.knotting(at), work.passive(at)) == (colour, place)]
            which = {"earlier": hanging[string] == min(alike), "later": hanging[string] == max(alike)}
            for word, true in which.items():
                assert (f"{word} {part.design.say_of(colour)}" in words) == (true and len(alike) == 2), words
                found |= {word} if true and len(alike) == 2 else set()
        hanging[string] = number
        if last_of[string] == number:
            del hanging[string]
        progress.tie(part.first + number)
    assert found


def test_at_the_end_of_a_row_turn_says_so_and_a_repeat_is_announced() -> None:
    whole = piece("fff", "fff", repeats=2)
    assert said(whole, Level.SHORT)[3::3] == ["turn, 3 backward", "repeat 1 done, turn, 3 forward", "turn, 3 backward"]
    assert said(whole, Level.SPARSE)[3::3] == ["turn, 3", "repeat done, turn, 3", "turn, 3"]
    assert said(whole, Level.FULL)[3::3] == [
        "row 1 done, turn, foam, 3 backward",
        "repeat 1 of 2 done, turn, foam, 3 forward",
        "row 3 done, turn, foam, 3 backward",
    ]


def test_who_has_heard_nothing_hears_the_colour_and_the_kind() -> None:
    whole = piece("fff", "fff")
    progress = Progress.resume(whole, by_rows(whole), range(4))
    assert prompt(whole, progress, Happened.RESUMED, (), Level.SHORT) == "row 2, foam, 2 backward"
    assert prompt(whole, progress, Happened.TIED, [3], Level.SPARSE, unheard=None) == "foam, 2 backward"
    assert prompt(whole, progress, Happened.TIED, [3], Level.SPARSE, unheard=[2]) == "2"
    progress = Progress.resume(whole, by_rows(whole), range(3))
    assert prompt(whole, progress, Happened.JUMPED, (), Level.SPARSE) == "turn, foam, 3 backward"


def test_a_stretch_is_never_cut() -> None:
    whole = piece("ffffffdddddd", "dddddddddddd")
    progress = Progress(whole, by_rows(whole))
    row = progress.rest_of_row()
    assert sayable(whole, progress, row, Level.SPARSE) == 6
    assert sayable(whole, progress, row, Level.FULL) == 12
    assert sayable(whole, progress, row[:3], Level.SPARSE) == 3


def test_a_press_that_counts_several_moves_joins_them() -> None:
    body = Braid(8, ((1, "deep"), (2, "foam"), (5, "rust")), ((1, 3), (2, 4), (5, 7)), 2)
    whole = whole_of(body, BRAID)
    assert said(whole, Level.FULL, "row") == ["repeat 1 of 1, 1 to 3, deep, then 2 to 4, foam, then 5 to 7, rust"]
    assert said(whole, Level.SPARSE, "row") == ["1 to 3, then 2 to 4", "5 to 7"]
