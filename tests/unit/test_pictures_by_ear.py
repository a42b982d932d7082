"""Spoken prompts of pictures and braids: a maker finds every knot, its leading string and every move from them."""

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
from benchmate.craft.wording.prompts import PIECE_DONE, Happened, prompt
from benchmate.families.alpha.body import Alpha, AlphaKnot
from benchmate.families.alpha.work import AlphaWork
from benchmate.families.braid.body import Braid
from benchmate.families.braid.family import BRAID
from tests.charts import pictures, seeded
from tests.ear import lines
from tests.ear.phrases import NAMINGS
from tests.ear.picture import Picture, PictureKnot
from tests.listening import Maker, followed, move_of, prompts_of, repaired

COLOURS = ("deep", "foam", "rust")


def a_design(body: Alpha | Braid, family: AnyFamily) -> Design:
    return Design("T", family, {name: Colour(name, "#000000", name) for name in COLOURS}, body)


def ear_for(whole: WholePiece, names: str = "chart") -> Picture:
    body = whole.main.design.body
    assert isinstance(body, Alpha)
    return Picture(body.columns, body.leading, NAMINGS[names])


def knot(whole: WholePiece, number: int) -> PictureKnot:
    made = move_of(whole.main, number)
    assert isinstance(made, PictureKnot)
    return made


def strings_in(whole: WholePiece) -> int:
    """How many leading strings the plan has."""
    assert isinstance(whole.main.work, AlphaWork)
    return whole.main.work.plan.strings


@given(pictures(), st.sampled_from(("knot", "run", "row")), st.sampled_from(sorted(NAMINGS)))
@seeded
def test_prompts_identify_every_knot_and_its_leading_string(whole: WholePiece, press: str, names: str) -> None:
    for level in Level:
        ear = ear_for(whole, names)
        for words, ahead in prompts_of(whole, by_rows(whole), level, press, names):
            if not ahead:
                assert words == PIECE_DONE[level]
                continue
            heard = ear.hears(words)
            assert press == "knot" or len(heard) == len(ahead)
            for made in heard[: len(ahead)]:
                ear.ties(made)
        assert ear.made == [knot(whole, number) for number in range(whole.size)]
        assert ear.begun == strings_in(whole)
        assert len(ear.hanging) == 1, "all others were cut"
        if level is not Level.FULL:
            assert not ear.strings_in_all
        elif press == "knot":
            assert ear.strings_in_all == strings_in(whole)


@given(pictures(), st.lists(st.integers(0, 199), max_size=20))
@seeded
def test_prompts_identify_every_knot_with_undos_and_repairs(whole: WholePiece, choices: list[int]) -> None:
    for level in Level:
        progress, ear = Progress(whole, by_rows(whole)), ear_for(whole)
        said = prompt(whole, progress, Happened.RESUMED, (), level)
        for choice in choices:
            last, number = progress.last, progress.next
            if choice % 4 == 0 and last is not None:
                progress.untie(last)
                said = ear.undoes(prompt(whole, progress, Happened.UNDONE, [last], level))
            elif choice % 8 == 1 and last is not None and _comes_to_the_end(progress, choice % progress.done):
                said = repaired(progress, whole, ear, progress.history[choice % progress.done], level)
            elif number is not None:
                # Without more words, the maker ties the undone step again.
                if said:
                    assert ear.hears(said)[0] == knot(whole, number), said
                ear.ties(knot(whole, number))
                progress.tie(number)
                said = prompt(whole, progress, Happened.TIED, [number], level)
            assert set(ear.made) == {knot(whole, other) for other in progress.history}


def _comes_to_the_end(progress: Progress, at: int) -> bool:
    """True where all knots after a wrong one come out with it.

    Where others stay, strings that were cut since hang on by their tails: which they are is up to the hands.
    """
    return len(progress.must_come_out(progress.history[at])) == progress.done - at


@given(pictures())
@seeded
def test_a_shorter_level_has_no_more_words(whole: WholePiece) -> None:
    # `followed` compares the levels.
    assert len(followed(whole, by_rows(whole))) == whole.size + 1


@given(pictures())
@seeded
def test_a_stretch_is_as_long_as_announced(whole: WholePiece) -> None:
    order = by_rows(whole)
    progress = Progress(whole, order)
    steps = [whole.step(number) for number in order.sequence]
    for number in order.sequence:
        run, here = progress.current_run, whole.step(number)
        assert run is not None
        assert isinstance(here, AlphaKnot)
        alike = [step for step in steps if isinstance(step, AlphaKnot) and step[0::3] == here[0::3]]
        assert run.of <= len(alike)
        assert progress.rest_of_run()[0] == number
        assert len(progress.rest_of_run()) == run.of - run.at + 1
        progress.tie(number)


@given(pictures())
@seeded
def test_the_lines_name_one_leading_string_and_the_plan_agrees(whole: WholePiece) -> None:
    ear = ear_for(whole)
    for number in range(whole.size):
        read = lines.read(step_words.line(whole, number + 1, number))
        assert read
        made = lines.knot_of_picture(ear, read.step)
        assert made == knot(whole, number)
        ear.ties(made)
    assert ear.begun == strings_in(whole)
    assert len(ear.hanging) == 1, "all others were cut"


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("press", ["knot", "row"])
def test_prompts_name_every_move_of_a_braid(level: Level, press: str) -> None:
    body = Braid(8, ((1, "deep"), (2, "foam"), (5, "rust")), ((1, 3), (2, 4), (5, 7)), 2)
    whole = whole_piece(a_design(body, BRAID), None, None, 3)
    maker, at = Maker(whole), 0
    for words, ahead in prompts_of(whole, by_rows(whole), level, press):
        if ahead:
            heard = maker.hears(words)
            assert list(heard) == [move_of(whole.main, number) for number in ahead]
            maker.ties(heard)
            at += len(heard)
    assert at == whole.size
