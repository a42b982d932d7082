"""While a wrong knot comes out of which nobody knows how it was made, only what is certain is shown and said."""

from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.step.view import picture_beside, view_of
from benchmate.bench.zones.compose import compose
from benchmate.bench.zones.view_values import NEUTRAL_FIELD, UNKNOWN_STRING
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR
from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import EVERY_KIND
from benchmate.craft.wording import step_words
from benchmate.craft.wording.hanging_words import hanging_in_words
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, again, prompt
from benchmate.display.palette import DARK, LIGHT, Palette
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.piece_opening import Kept
from benchmate.piece_questions.trouble.ways_on import WayOn, WaysOn
from benchmate.piece_questions.trouble.what_went_wrong import WrongKnots
from benchmate.plain.in_piece import step_line
from benchmate.store.open_piece import OpenPiece
from tests.charts import random_chart
from tests.screen.benches import WRITTEN, begun, written_to
from tests.screen.erring import TWELVE

Begin = Callable[..., OpenPiece]


@pytest.fixture
def begin(kept: Kept, tmp_path: Path) -> Begin:
    """A piece of which so many steps are done."""

    def begin(text: str = TWELVE, *, done: int = 110) -> OpenPiece:
        held = begun(kept, written_to(tmp_path, text)).held
        held.jump(done)
        return held

    return begin


def random_work(chance: Random) -> DiagonalWork:
    body = random_chart(chance, chance.randint(3, 7), chance.randint(3, 8))
    strings = tuple(chance.choice("abc") for _ in body.strings)
    return DiagonalWork(Diagonal(strings, body.rows), 1)


def pair_of(work: DiagonalWork, step: DiagonalKnot) -> tuple[str, str]:
    """The colours of the left and the right string of a knot."""
    return work.strings[step.left_string - 1], work.strings[step.right_string - 1]


def test_what_is_told_is_true_however_the_knot_was_made_and_all_that_is_certain_is_told() -> None:
    checked = 0
    for seed in range(120):
        chance = Random(seed)
        work = random_work(chance)
        if not work.size:
            continue
        doubted = chance.randrange(work.size)
        told = work.in_doubt([doubted])
        made = [work.made_otherwise({doubted: way}) for way in EVERY_KIND if way is not work.how_made(doubted)]
        bands = [work, *made]
        assert told.step(doubted) == DiagonalKnot(work.row_of(doubted), work.left(doubted), None, 0, 0, unsure=True)
        for number in range(work.size):
            if number == doubted:
                continue
            step, charted = told.step(number), work.step(number)
            assert step[:3] == charted[:3]
            for side, string in enumerate((step.left_string, step.right_string)):
                possible = {pair_of(work, band.step(number))[side] for band in bands}
                assert (string != 0) == (len(possible) == 1), "said where it is certain, and only there"
                assert not string or work.strings[string - 1] in possible
                checked += not string
        for at, string in enumerate(work.at_end):
            possible = {work.strings[band.at_end[at] - 1] for band in bands}
            assert (string in told.unsure_strings) == (len(possible) > 1)
    assert checked > 100


def test_two_knots_in_doubt_make_more_uncertain_than_one() -> None:
    checked = more = 0
    for seed in range(120):
        chance = Random(seed)
        work = random_work(chance)
        if work.size < 2:
            continue
        one, other = sorted(chance.sample(range(work.size), 2))
        told = work.in_doubt([one, other])
        ways = [{one: first, other: second} for first in EVERY_KIND for second in EVERY_KIND]
        charted = [{step: how for step, how in made.items() if how is not work.how_made(step)} for made in ways]
        bands = [work.made_otherwise(made) for made in charted]
        for number in {*range(work.size)} - {one, other}:
            step = told.step(number)
            for side, string in enumerate((step.left_string, step.right_string)):
                possible = {pair_of(work, band.step(number))[side] for band in bands}
                assert not string or possible == {work.strings[string - 1]}
                checked += not string
                more += not string and bool((work.in_doubt([other]).step(number)[3:5])[side])
    assert checked > 100
    assert more > 10


def lines_out(held: OpenPiece) -> list[str]:
    """The lines of plain mode until the wrong knot is out."""
    lines = []
    while held.wrong is not None:
        lines.append(step_line.current(held) or "")
        held.finish_step()
    return lines


def test_the_lines_name_no_kind_of_the_wrong_knot_and_no_colour_it_could_have_exchanged(begin: Begin) -> None:
    held = begin()
    held.mark_wrong(88)
    left = held.charted.main.work.step(88)
    assert isinstance(left, DiagonalKnot)
    certain = [step_words.take_out(held.whole.main, held.whole.step(step)) for step in held.must_come_out()]
    *resting, wrong = lines_out(held)
    at = left.left
    assert wrong.partition(" ")[2] == (
        f"take out the wrong knot of string {at} and string {at + 1}, unless it was left out; row {left.row}"
    )
    design = held.whole.main.design
    labels = {design.say(name) for name in design.colours}
    unsaid = [line for line in resting if not any(f" {label}" in line for label in labels)]
    assert unsaid, "the strings of the wrong knot went on"
    for line, full in zip(resting, certain, strict=False):
        words = line.partition(" ")[2]
        assert words == full or line in unsaid
        assert words.split(",")[0] == full.split(",")[0], "the kind is as charted"


def test_how_the_strings_hang_is_said_as_far_as_it_is_certain(begin: Begin) -> None:
    held = begin()
    certain = hanging_in_words(held.as_known, held.progress)
    assert not any(line.startswith("not certain") for line in certain)
    held.mark_wrong(88)
    said = hanging_in_words(held.as_known, held.progress)
    not_known = [line for line in said if line.startswith("not certain, ")]
    assert 1 <= len(not_known) <= 2
    assert set(said) & set(certain), "of the others all is said"


def test_a_knot_whose_making_is_known_keeps_its_words(begin: Begin) -> None:
    held = begin()
    held.take_out({88: Knot.BACKWARD_FORWARD})
    made = held.whole
    full = [step_words.take_out(made.main, made.step(step)) for step in held.must_come_out()]
    assert [line.partition(" ")[2] for line in lines_out(held)] == full


def test_a_knot_to_take_out_of_two_strings_of_one_colour_says_where_they_hang(begin: Begin) -> None:
    chart = "strings: [deep, deep, deep, deep, deep, foam]\nrows: [fb b f]\n"
    held = begin(
        f"benchmate: 1\ntitle: One colour\nfamily: diagonal\ncolours: {{deep: navy, foam: white}}\n{chart}", done=3
    )
    said = [step_words.take_out(held.whole.main, held.whole.step(step)) for step in range(3)]
    assert said == [
        "take out forward-backward, 1 deep over 2 deep, each stays on its side; row 1",
        "take out backward, 3 deep over 4 deep, they change back; row 1",
        "take out forward, 6 deep over 5 foam, deep goes back to 5, foam to 6; row 1",
    ]


def test_a_change_that_was_done_as_planned_is_in_doubt_when_it_is_pointed_at(begin: Begin) -> None:
    held = begin()
    held.leave({88: Knot.BACKWARD_FORWARD}, {110: None})
    held.tie([110])
    held.mark_wrong(110)
    assert "the wrong knot of" in lines_out(held)[-1]


def test_of_two_wrong_knots_none_is_named(kept: Kept, begin: Begin) -> None:
    held = begin()
    ways = WaysOn(held, WrongKnots({}, [70, 88]))
    ways.choose(WayOn.TAKE_OUT)
    assert held.piece is not None
    assert held.wrong is not None
    again = openings.resume(kept, kept.pieces.get(held.piece)).held
    for window in (held, again):
        assert window.marked == (70, 88)
        names = {
            step: step_words.name_of(window.whole.main, window.as_known.step(step)) for step in held.must_come_out()
        }
        unsure = [step for step, name in names.items() if name == "the wrong knot"]
        assert unsure == [step for step in held.must_come_out() if step in (70, 88)]
    out = held.must_come_out()
    assert out == list(ways.out), "both come out, with all that rests on either"
    while held.must_come_out():
        assert held.must_come_out() == out
        held.finish_step()
        del out[0]
        again.refresh()
        assert (again.marked, again.must_come_out(), again.taken_out) == (held.marked, out, held.taken_out)
        if len(out) in (1, 4):
            held.back()
            assert out != held.must_come_out()
            held.finish_step()
    assert not {70, 88} & {*held.progress.history}
    assert held.as_known is held.whole


def test_written_steps_say_all_they_know(begin: Begin) -> None:
    held = begin(WRITTEN, done=2)
    held.mark_wrong(1)
    assert held.as_known is held.whole


def test_the_voice_says_only_what_is_certain(begin: Begin) -> None:
    held = begin()
    held.mark_wrong(88)
    held.jump_to([step for step in held.progress.history if step not in held.must_come_out()[:-1]])
    (out,) = held.must_come_out()
    step = held.whole.main.work.step(out)
    assert isinstance(step, DiagonalKnot)
    long = f"take out the wrong knot, string {step.left} and string {step.left + 1}"
    said = {level: prompt(held.as_known, held.progress, Happened.OUT, (), level, out=[out]) for level in Level}
    assert said[Level.FULL] == f"{long}, the last one to take out"
    assert said[Level.SHORT] == f"{long}, last"
    assert said[Level.SPARSE] == f"take out {step.left} and {step.left + 1}, last"
    assert again(held.as_known, held.progress, out=[out]) == said[Level.FULL]


def test_the_bench_shows_only_what_is_certain(begin: Begin) -> None:
    held = begin()
    held.mark_wrong(88)
    unsure = held.as_known.unsure_strings
    assert len(unsure) == 2
    while (out := held.must_come_out())[1:]:
        view = view_of(held)
        assert [string is UNKNOWN_STRING for string in view.strings] == [
            string in unsure for string in held.progress.hanging
        ]
        assert view.left is not None
        assert view.right is not None
        pair = [held.progress.hanging[side.position - 1] for side in (view.left, view.right)]
        assert [side.say == "?" for side in (view.left, view.right)] == [string in unsure for string in pair]
        held.finish_step()
    view = view_of(held)
    assert (view.word, view.field) == ("undo the wrong knot", NEUTRAL_FIELD)
    assert view.note == "No knot is here if it was left out. This is the last to undo"
    assert [side and (side.say, side.labels and side.labels[1]) for side in (view.left, view.right)] == [
        ("?", "wrong knot")
    ] * 2
    for width, height in ((40, 12), (80, 24), (200, 60)):
        beside = picture_beside(held, view.number, width, height, DARK, TRUE_COLOUR)
        lines = compose(view, width, height, DARK, beside)
        assert len(lines) == height
    assert out == [88]


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (200, 60)])
@pytest.mark.parametrize("palette", [DARK, LIGHT])
def test_the_band_beside_has_a_question_mark_for_a_tied_knot_of_which_nobody_knows_the_colour(
    begin: Begin, size: tuple[int, int], palette: Palette
) -> None:
    held = begin()
    held.mark_made({105: None})

    def marked() -> int:
        beside = picture_beside(held, held.must_come_out()[0], *size, palette, TRUE_COLOUR)
        assert beside is not None
        spans = [span for line in beside for span in line if "?" in span.text]
        assert {span.ground for span in spans} <= {palette.field}
        return sum(span.text.count("?") for span in spans)

    held.take_out({88: Knot.BACKWARD_FORWARD})
    assert marked() == 0, "how it was made is known, and a knot left out is a gap"
    held.take_back(88)
    held.mark_wrong(88)
    piece = held.as_known
    unsure = [step for step in held.progress.history if piece.colour_in_doubt(step)]
    assert 88 in unsure
    assert 105 not in unsure
    assert [piece.knotting(step) for step in unsure] == [0] * len(unsure)
    width = 4 if size[0] == 200 else 2
    # The step to take out now has brackets in its place.
    assert marked() == width * (len(unsure) - (held.must_come_out()[0] in unsure))
