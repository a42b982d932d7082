"""While a wrong step of a picture or a braid comes out, nothing is said or shown of it that may be untrue."""

from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from benchmate.bench.step.view import picture_beside, view_of
from benchmate.bench.zones.compose import compose
from benchmate.bench.zones.view_values import NEUTRAL_FIELD
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt
from benchmate.display.palette import DARK
from benchmate.families.braid.body import BraidMove
from benchmate.families.braid.work import BraidWork
from benchmate.piece_opening import Kept
from benchmate.plain.in_piece import step_line
from benchmate.store.open_piece import OpenPiece
from tests.outside.test_where import braid
from tests.screen.benches import PICTURE, ROPE, begun, written_to

Begin = Callable[[str, int], OpenPiece]


@pytest.fixture
def begin(kept: Kept, tmp_path: Path) -> Begin:
    """A piece of which so many steps are done."""

    def begin(text: str, done: int) -> OpenPiece:
        held = begun(kept, written_to(tmp_path, text)).held
        held.jump(done)
        return held

    return begin


def out_one_by_one(held: OpenPiece) -> list[str]:
    """The lines of plain mode until the wrong step is out."""
    lines = []
    while held.wrong is not None:
        lines.append((step_line.current(held) or "").partition(" ")[2])
        held.finish_step()
    return lines


def spoken(held: OpenPiece, level: Level) -> str:
    return prompt(held.as_known, held.progress, Happened.OUT, (), level, out=held.must_come_out())


def test_the_colour_of_a_wrong_knot_of_a_picture_is_not_said(begin: Begin) -> None:
    held = begin(PICTURE, 14)
    held.mark_wrong(6)
    resting = held.must_come_out()[:-1]
    full = [step_words.take_out(held.whole.main, held.whole.step(number)) for number in resting]
    assert full
    # A deep knot after row 2 began, whatever made the wrong one.
    assert out_one_by_one(held) == [*full, "take out the wrong knot over 4; row 2, column 4"]


def test_the_last_wrong_knot_of_a_picture_at_the_bench_and_by_ear(begin: Begin) -> None:
    held = begin(PICTURE, 7)
    held.mark_wrong(6)
    view = view_of(held)
    assert (view.word, view.field, view.note) == ("undo the wrong knot", NEUTRAL_FIELD, "this is the last to undo")
    assert [side and side.say for side in (view.left, view.right)] == ["deep", "?"]
    for width, height in ((40, 12), (80, 24), (200, 60)):
        beside = picture_beside(held, view.number, width, height, DARK, TRUE_COLOUR)
        assert len(compose(view, width, height, DARK, beside)) == height
    assert spoken(held, Level.FULL) == "take out the wrong knot, second from the right, the last one to take out"
    assert spoken(held, Level.SHORT) == "take out the wrong knot, second from the right, last"
    assert spoken(held, Level.SPARSE) == "take out second from right, last"


def test_the_lines_of_a_wrong_move_are_true_of_every_move_that_was_possible(begin: Begin) -> None:
    chance = Random(1514)
    unsaid = said = 0
    while unsaid < 20:
        held = begin(braid(chance), 0)
        work, design = held.whole.main.work, held.whole.main.design
        assert isinstance(work, BraidWork)
        doubted, slots = chance.randrange(work.size), len(work.at_start())
        told = work.in_doubt([doubted])
        source, target = work.swapped_at(doubted), work.swapped_with(doubted)
        assert told.step(doubted) == BraidMove(1, source, target, 0, is_first=not doubted, unsure=True)
        others = [(0, 0), *((source, slot) for slot in range(1, slots + 1))]
        for move in (*others, *((slot, target) for slot in range(1, slots + 1))):
            lies = work.at_start()
            for number in range(work.size):
                here, there = (work.swapped_at(number), work.swapped_with(number)) if number != doubted else move
                if not here:
                    continue
                if not lies[here - 1] or lies[there - 1]:
                    break
                step = told.step(number)
                if number != doubted:
                    assert (step.source, step.target) == (here, there)
                    if step.strand:
                        assert design.say_of(step.strand) == design.say_of(lies[here - 1])
                    unsaid += not step.strand
                    said += bool(step.strand)
                lies[here - 1], lies[there - 1] = 0, lies[here - 1]
    assert said > unsaid, "most strands are certain"


def test_of_two_wrong_moves_nothing_is_said_that_may_be_untrue(begin: Begin) -> None:
    chance = Random(2611)
    unsaid = 0
    while unsaid < 40:
        held = begin(braid(chance), 0)
        work, design = held.whole.main.work, held.whole.main.design
        assert isinstance(work, BraidWork)
        doubted, slots = sorted(chance.sample(range(work.size), 2)), range(1, len(work.at_start()) + 1)
        told = work.in_doubt(doubted)
        assert [told.step(number).unsure for number in range(work.size)] == [
            number in doubted for number in range(work.size)
        ]
        for _ in range(400):
            made = {number: (work.swapped_at(number), work.swapped_with(number)) for number in range(work.size)}
            for number in doubted:
                source, target = made[number]
                others = [(0, 0), *((source, slot) for slot in slots), *((slot, target) for slot in slots)]
                made[number] = chance.choice(others)
            lies = work.at_start()
            for number, (here, there) in made.items():
                if not here:
                    continue
                if not lies[here - 1] or lies[there - 1]:
                    break
                step = told.step(number)
                if step.strand:
                    assert design.say_of(step.strand) == design.say_of(lies[here - 1])
                unsaid += not step.strand
                lies[here - 1], lies[there - 1] = 0, lies[here - 1]


def test_a_knot_of_a_picture_that_hangs_on_the_string_of_a_wrong_one_is_certain(begin: Begin) -> None:
    held = begin(PICTURE, 14)
    held.mark_wrong(6, 10)
    assert {10, 6} <= {*held.must_come_out()}
    unsure = {step for step in held.progress.history if held.as_known.colour_in_doubt(step)}
    assert unsure == {6}
    lines = out_one_by_one(held)
    assert [line for line in lines if "wrong" in line] == [
        "take out the wrong knot over 4; row 2, column 4",
    ]


def test_a_wrong_move_at_the_bench_and_by_ear(begin: Begin) -> None:
    held = begin(ROPE, 12)
    held.mark_wrong(6)
    assert held.must_come_out() == [6]
    view = view_of(held)
    assert (view.word, view.field) == ("undo the wrong move", NEUTRAL_FIELD)
    assert view.note == "Lay all as before that move; in the chart 8 to 22. This is the last to undo"
    beside = picture_beside(held, view.number, 100, 30, DARK, TRUE_COLOUR)
    assert beside is not None
    spans = [span for line in beside for span in line]
    filled = {int(span.text) for span in spans if span.bold and span.text.strip().isdigit()}
    before = list(held.progress.hanging)
    held.whole.main.work.change_places(6, before)
    assert filled == {slot for slot, strand in enumerate(before, 1) if strand}, "as it was before that move"
    words = "take back the wrong move, in the chart 8 to 22"
    assert spoken(held, Level.FULL) == f"{words}, the last one to take out"
    assert spoken(held, Level.SPARSE) == "take back the wrong move, last"
    assert out_one_by_one(held) == [f"{words}; repeat 2"]


def test_the_strand_after_a_wrong_move_is_not_named(begin: Begin) -> None:
    held = begin(ROPE, 60)
    held.mark_wrong(3)
    work = held.whole.main.work
    assert isinstance(work, BraidWork)
    *resting, _ = held.must_come_out()
    named = [work.strand(number) != work.strand(3) for number in resting]
    assert {*named} == {False, True}
    shown = []
    while len(held.must_come_out()) > 1:
        view = view_of(held)
        shown.append(view.field != NEUTRAL_FIELD)
        assert view.note.startswith(("deep, back from slot ", "foam, back from slot ") if shown[-1] else "Back from ")
        line = step_line.current(held) or ""
        assert any(name in line for name in ("deep", "foam")) is shown[-1]
        held.finish_step()
    assert shown == named
    assert out_one_by_one(held) == ["take back the wrong move, in the chart 25 to 7; repeat 1"]
