"""Spoken prompts for alpha bands and braids: a listener finds every knot and every move from them."""

import re
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.family import AnyFamily
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import PIECE_DONE, Happened, again
from benchmate.families.alpha.body import Alpha, AlphaKnot, alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.alpha.work import AlphaWork
from benchmate.families.braid.body import Braid, BraidMove
from benchmate.families.braid.family import BRAID
from tests.charts import seeded
from tests.listening import END, at_each_level, followed

COLOURS = ("deep", "foam", "rust")
PICK_UP = re.compile(
    r"(start (a new|another) (?P<new>\w+)(, leave a 9 cm tail)?"
    r"|bring (the )?(?P<float>\w+) (across the back )?from column \d+( in row \d+)? \(\d+ (knots?|rows? up)\)"
    r"|pick up (the )?(?P<near>\w+) at column \d+( in row \d+)?)"
    r"(; cut \w+ at column \d+(, leave a 9 cm tail)?)?"
)
KNOW = re.compile(r"\d+ leading strings? in all.* ends to hide(\. Floats pass .* on its way)?, ")
BRIEF = re.compile(rf"((new|another) )?(?P<colour>{'|'.join(COLOURS)})( from column \d+( in row \d+)?)?")


def a_design(body: Alpha | Braid, family: AnyFamily) -> Design:
    return Design("T", family, {name: Colour(name, "#000000", name) for name in COLOURS}, body)


@st.composite
def alpha_pieces(draw: st.DrawFn) -> WholePiece:
    """Small alpha bands of up to three colours, with one or two repeats."""
    columns, rows = draw(st.integers(1, 7)), draw(st.integers(1, 5))
    names = st.sampled_from(COLOURS[: draw(st.integers(1, 3))])
    chart = draw(st.lists(st.lists(names, min_size=columns, max_size=columns), min_size=rows, max_size=rows))
    body = alpha("deep", tuple(map(tuple, chart)), draw(st.sampled_from(("left", "right"))))
    return whole_piece(a_design(body, ALPHA), None, None, draw(st.integers(1, 2)))


class Listener:
    """Knows the colour in hand and how many announced knots are left, but has no chart."""

    def __init__(self) -> None:
        self.colour = ""
        self.left = 0
        self.word = ""

    def hears(self, words: str) -> list[tuple[str, str]]:
        """The knots to tie now, each as a colour and a knot name; remembers the count of a stretch."""
        words = KNOW.sub("", words)
        pick_up, then, rest = words.partition(", then ")
        if then:
            while END.fullmatch(pick_up.partition(", ")[0]):
                pick_up = pick_up.partition(", ")[2]
            found = PICK_UP.fullmatch(pick_up)
            assert found, words
            self.colour = found["new"] or found["float"] or found["near"]
            words = f"{self.colour}, {rest}"
        pieces = [piece for piece in words.split(", ") if not END.fullmatch(piece)]
        if BRIEF.fullmatch(pieces[0]):
            return self._stretches(pieces)
        assert self.left > 0, words
        for piece in pieces:
            if piece == "last":
                assert self.left == 1
            elif not piece.isdigit():
                assert piece == self.word
        return [(self.colour, self.word)]

    def _stretches(self, pieces: Sequence[str]) -> list[tuple[str, str]]:
        knots = []
        for colour, counted in zip(pieces[::2], pieces[1::2], strict=True):
            named = BRIEF.fullmatch(colour)
            assert named, colour
            colour, (count, _, word) = named["colour"], counted.rpartition(" ")
            self.colour, self.word, self.left = colour, word, int(count or 1)
            knots += [(colour, word)] * self.left
        return knots


def knots_of(whole: WholePiece, numbers: Sequence[int]) -> list[tuple[str, str]]:
    steps = [whole.step(number) for number in numbers]
    design = whole.main.design
    return [(design.say_of(step.leading), step.knot.words) for step in steps if isinstance(step, AlphaKnot)]


@given(alpha_pieces(), st.sampled_from(("knot", "run", "row")))
@seeded
def test_prompts_identify_every_knot_of_an_alpha_band(whole: WholePiece, press: str) -> None:
    order = by_rows(whole)
    prompts = followed(whole, order, press)
    for level in Level:
        listener, at = Listener(), 0
        for said in prompts[:-1]:
            heard = listener.hears(said[level])
            count = 1 if press == "knot" else len(heard)
            assert heard[:count] == knots_of(whole, order.sequence[at : at + count])
            at += count
            listener.left -= 1
        assert at == whole.size
        assert prompts[-1][level] == PIECE_DONE[level]


@given(alpha_pieces())
@seeded
def test_a_stretch_is_as_long_as_announced(whole: WholePiece) -> None:
    order = by_rows(whole)
    progress = Progress(whole, order)
    for number in order.sequence:
        run = progress.current_run
        assert run is not None
        here = whole.step(number)
        assert isinstance(here, AlphaKnot)
        same = [
            step
            for step in map(whole.step, order.sequence)
            if isinstance(step, AlphaKnot) and (step.row, step.leading) == (here.row, here.leading)
        ]
        assert run.of <= len(same)
        assert progress.rest_of_run()[0] == number
        assert len(progress.rest_of_run()) == run.of - run.at + 1
        progress.tie(number)


PLACE = re.compile(r"column (?P<column>\d+)( in row (?P<row>\d+))?")


class Hands:
    """Leading strings as they hang behind a picture, worked from the words: each with its colour, row and column."""

    def __init__(self) -> None:
        self.hanging: dict[int, tuple[str, int, int]] = {}
        self.in_hand = 0
        self.begun = 0

    def take(self, words: str, row: int) -> None:
        """Starts a string or takes the one that the words name in this row, and cuts one where they say so."""
        found = PICK_UP.fullmatch(words)
        assert found, words
        cut = re.search(r"; cut (\w+) at column (\d+)", words)
        if cut:
            colour, _, column = self.hanging.pop(self.in_hand)
            assert (colour, column) == (cut[1], int(cut[2]))
        if found["new"]:
            alike = [colour for colour, _, _ in self.hanging.values() if colour == found["new"]]
            assert ("another" in words) == bool(alike)
            self.begun += 1
            self.in_hand = self.begun
        else:
            self.in_hand = self.found(found["float"] or found["near"], words, row)

    def found(self, colour: str, words: str, row: int) -> int:
        """The one string of this colour that waits where the words say."""
        alike = {string: hangs for string, hangs in self.hanging.items() if hangs[0] == colour}
        assert (" the " in words.replace(" the back", "")) == (len(alike) > 1), words
        place = PLACE.search(words)
        assert place
        # With others to take it for, no row means this one; else this one or the one below.
        rows = [int(place["row"])] if place["row"] else [row] if len(alike) > 1 else [row, row - 1]
        fitting = [string for string, hangs in alike.items() if hangs[1] in rows and hangs[2] == int(place["column"])]
        assert len(fitting) == 1, words
        return fitting[0]


@given(alpha_pieces())
@seeded
def test_the_words_name_one_leading_string_and_the_plan_agrees(whole: WholePiece) -> None:
    hands = Hands()
    work = whole.main.work
    assert isinstance(work, AlphaWork)
    for number in range(whole.size):
        words, step = step_words.pick_up(whole, number), work.step(number)
        if words:
            hands.take(words, step.row)
        hands.hanging[hands.in_hand] = (whole.main.design.say_of(step.leading), step.row, step.column)
        assert hands.in_hand == work.plan.leading(number)
    assert hands.begun == work.plan.strings
    assert len(hands.hanging) == 1, "all others were cut"


@pytest.mark.parametrize("level", list(Level))
def test_prompts_name_every_move_of_a_braid(level: Level) -> None:
    body = Braid(8, ((1, "deep"), (2, "foam"), (5, "rust")), ((1, 3), (2, 4), (5, 7)), 2)
    whole = whole_piece(a_design(body, BRAID), None, None, 3)
    for said, number in zip(followed(whole, by_rows(whole))[:-1], range(whole.size), strict=True):
        move = whole.step(number)
        assert isinstance(move, BraidMove)
        assert f"{move.source} to {move.target}" in said[level]


def test_prompts_of_alpha_knots_undone_or_taken_out() -> None:
    body = alpha("deep", (("foam", "foam"), ("foam", "rust")))
    whole = whole_piece(a_design(body, ALPHA), None, None)
    progress = Progress.resume(whole, by_rows(whole), range(3))
    out = progress.must_come_out(1)
    assert list(at_each_level(whole, progress, Happened.RESUMED, out=out).values()) == [
        "take out backward, rust over 2, 1 more to take out",
        "take out backward, rust over 2, 1 more",
        "take out backward, rust over 2, 1 more",
    ]
    progress.untie(2)
    assert list(at_each_level(whole, progress, Happened.UNDONE, [2]).values()) == [
        "undo backward, rust over 2",
        "undo backward, rust over 2",
        "undo backward",
    ]
    assert step_words.pick_up(whole, 2) == "start a new rust, leave a 9 cm tail"
    bring, cut = "bring foam across the back from column 2 (1 knot)", "cut rust at column 2"
    assert step_words.pick_up(whole, 3) == f"{bring}; {cut}, leave a 9 cm tail"
    assert step_words.pick_up(whole, 3, tails=False) == f"bring foam from column 2 (1 knot); {cut}"
    assert step_words.pick_up(whole, 1) == ""


def test_what_to_read_says_all_that_one_press_needs() -> None:
    chart = (("deep", "foam", "deep"), ("foam", "deep", "foam"))
    whole = whole_piece(a_design(alpha("deep", chart), ALPHA), None, None, 1)
    order = by_rows(whole)
    progress = Progress(whole, order)
    for number in order.sequence[:3]:
        progress.tie(number)
    read = again(whole, progress, ahead=progress.rest_of_row(), most=None)
    assert read == (
        "row 2 of 2, bring foam from column 2 (1 knot), then backward, bring deep from column 3 (1 knot), then "
        "backward, bring foam from column 3 (1 knot); cut deep at column 2, then backward"
    )
    # By ear that would be too long.
    assert "cut" not in again(whole, progress, ahead=progress.rest_of_row())
