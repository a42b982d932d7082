"""Laying out: what hangs before the first knot, in which order; and starts that know the design's strings."""

import io
import json
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate import piece_opening as openings
from benchmate.cli import main
from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.history.carry_over import carried_over
from benchmate.craft.laying_out import LayingOut, at_places, groups, printed
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import mirrored
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, again, prompt
from benchmate.design_files.load import load, parse
from benchmate.families.steps.body import Steps, WrittenStep
from benchmate.families.steps.lengths import folded_lengths
from benchmate.piece_opening import Kept
from benchmate.piece_questions.trouble import small_trouble
from benchmate.plain import piece as plain
from benchmate.plain.answers import Answers
from benchmate.plain.in_piece import laying_out
from benchmate.plain.in_piece.word_table import opening_line
from benchmate.plain.lines import Lines
from tests.charts import chart, design, seeded, written
from tests.screen.benches import PICTURE, ROPE, WRITTEN, begun, written_to
from tests.shelf import FILES

STEP_LINE = re.compile(r"\d+/\d+ ")
BANDS = [name for name, file in FILES.items() if file.design.family.name != "steps"]
"""The shipped designs with strings to hang or strands to load."""


def whole_of(name: str) -> WholePiece:
    """A design of the shelf with its start and finish."""
    file = load(name)
    return whole_piece(file.design, file.start and file.start.design, file.finish and file.finish.design)


def of_text(text: str) -> LayingOut:
    """How a design is laid out without a start."""
    found, _ = parse(text)
    assert found is not None
    return whole_piece(found, None, None).laying_out()


def test_a_band_is_laid_out_from_left_to_right_one_colour_group_a_step() -> None:
    laying = whole_piece(design(chart("deep deep deep foam deep deep", "f f f")), None, None).laying_out()
    assert laying.words == "lay out the strings"
    assert [step.word for step in laying.steps] == ["deep at 1 to 3", "foam at 4", "deep at 5 and 6"]
    assert [step.places for step in laying.steps] == [(1, 2, 3), (4,), (5, 6)]
    assert [step.note for step in laying.steps] == [
        "3 strings at the left edge; tape or clip them a hand's width below the ends",
        "1 string to the right of deep",
        "2 strings to the right of foam; that is all 6",
    ]
    assert printed(laying)[1] == "lay out: foam at 4, 1 string to the right of deep"


def test_after_a_start_the_strings_are_sorted() -> None:
    laying = whole_piece(design(chart("deep foam", "f")), design(written("Fold")), None).laying_out()
    assert laying.words == "sort the strings"
    assert [step.note for step in laying.steps] == [
        "1 string at the left edge",
        "1 string to the right of deep; that is all 2",
    ]


def test_a_mirrored_band_is_laid_out_the_other_way_round() -> None:
    one_way = design(chart("deep foam rust", "f"))
    assert [step.colour for step in whole_piece(mirrored(one_way), None, None).laying_out().steps] == [
        "rust",
        "foam",
        "deep",
    ]


def test_a_picture_hangs_its_base_strings_and_then_its_first_leading_string() -> None:
    laying = of_text(PICTURE)
    assert [step.word for step in laying.steps] == ["deep at 1 to 5", "deep at the left"]
    assert [step.places for step in laying.steps] == [(1, 2, 3, 4, 5), ()]
    assert [step.strings for step in laying.steps] == [(1, 2, 3, 4, 5), (6,)]
    assert laying.steps[1].note == "the first leading string; it makes its first knot over base string 1"
    right = of_text(PICTURE.replace("base: deep", "base: deep\nfirst: right"))
    assert right.steps[1].word == "rust at the right"
    assert right.steps[1].note.endswith("over base string 5")


def test_a_braid_loads_its_slots_one_by_one() -> None:
    laying = of_text(ROPE)
    assert laying.words == "load the slots"
    assert [step.places for step in laying.steps] == [(1,), (8,), (9,), (16,), (17,), (24,), (25,), (32,)]
    assert laying.steps[1].word == "foam in 8"
    assert laying.steps[1].note == "slot 8, strand 2 of 8"
    assert printed(laying)[0] == "load: deep in slot 1, strand 1 of 8; load the slots clockwise"
    assert laying.places_after(3) == {1, 8, 9}


@pytest.mark.parametrize("name", BANDS)
def test_every_shipped_design_hangs_all_its_strings_once_and_in_order(name: str) -> None:
    whole = whole_of(name)
    body = whole.main.design.body
    steps = whole.laying_out().steps
    hung = [place for step in steps for place in step.places]
    assert hung == sorted(set(hung))
    assert len(hung) == len(body.strings)
    assert [body.colour_of(string) for step in steps for string in step.strings if step.places] == list(body.strings)
    assert all(body.colour_of(string) == step.colour for step in steps for string in step.strings)
    first = whole.main.work.step(0)
    if whole.main.design.family.name == "alpha":
        assert steps[-1].colour == body.colour_of(whole.main.work.knotting(0)), first


@given(st.lists(st.sampled_from("abc"), max_size=40))
@seeded
def test_groups_are_the_strings_and_neighbours_differ(strings: list[str]) -> None:
    found = groups(strings)
    assert [group.colour for group in found for _ in range(group.first, group.last + 1)] == strings
    assert all(one.colour != other.colour for one, other in pairwise(found))


def test_places_in_words() -> None:
    assert [at_places("foam", 4, 4), at_places("foam", 4, 5), at_places("foam", 4, 6)] == [
        "foam at 4",
        "foam at 4 and 5",
        "foam at 4 to 6",
    ]


# A start that knows the design.


@pytest.mark.parametrize(
    ("strings", "expected"),
    [
        ("deep foam deep deep deep deep deep", "Fold 3 lengths of deep; cut 1 single length of foam, knot it in"),
        ("deep deep", "Fold 1 length of deep"),
        ("deep deep foam foam foam foam rust rust", "Fold 1 length of deep, 2 of foam and 1 of rust"),
        ("deep deep deep foam", "Fold 1 length of deep; cut 1 single length of deep and 1 of foam, knot them in"),
        ("deep foam rust", "Cut 1 single length of deep, 1 of foam and 1 of rust, knot them in"),
    ],
)
def test_the_lengths_of_a_doubled_start(strings: str, expected: str) -> None:
    assert folded_lengths(strings.split(), str) == expected


@given(st.lists(st.sampled_from(["deep", "foam", "rust"]), min_size=1, max_size=30))
@seeded
def test_the_lengths_make_exactly_the_strings(strings: list[str]) -> None:
    words = folded_lengths(strings, str).lower().replace(" and ", ", ").removesuffix(" in")
    made: Counter[str] = Counter()
    for part in words.split("; "):
        worth = 2 if part.startswith("fold") else 1
        for item in part.replace("fold ", "").replace("cut ", "").split(", "):
            number, _, colour = item.partition(" ")
            if number.isdigit():
                made[colour.split(" of ")[-1].removeprefix("of ")] += worth * int(number)
    assert made == Counter(strings)


THREE = written("Cut the lengths", ("Bind", 2), "Sort").steps
DOUBLED = design(Steps((), THREE, doubled=True))


def started(strings: str, start: Design = DOUBLED) -> WholePiece:
    """A band with a start."""
    return whole_piece(design(chart(strings, "f f")), start, None)


def test_a_doubled_start_says_its_lengths_in_its_first_step_only() -> None:
    whole = started("deep foam deep deep")
    assert whole.size == 6
    lines = [step_words.line(whole, number + 1, number) for number in range(4)]
    assert lines == [
        "1/6 Cut the lengths. Fold 1 length of deep; cut 1 single length of deep and 1 of foam, knot them in",
        "2/6 Bind. 1 of 2",
        "3/6 Bind. 2 of 2",
        "4/6 Sort",
    ]


def test_the_lengths_are_spoken_as_far_as_the_level_has_room() -> None:
    whole = started("deep deep foam foam foam")
    progress = Progress(whole, by_rows(whole))
    said = {level: prompt(whole, progress, Happened.RESUMED, (), level) for level in Level}
    lengths = "Cut the lengths. Fold 1 length of deep and 1 of foam; cut 1 single length of foam, knot it in"
    assert lengths in said[Level.FULL]
    assert said[Level.SHORT] == "Cut the lengths. Fold 1 length of deep, more to hear"
    assert said[Level.SPARSE] == "Cut the lengths, more to hear"
    assert lengths in again(whole, progress)


def test_a_start_that_is_not_doubled_says_nothing_of_lengths() -> None:
    start = design(written("Cut the lengths"))
    assert step_words.line(started("deep deep foam foam", start), 1, 0) == "1/3 Cut the lengths"


def test_another_label_of_a_colour_leaves_the_tied_steps_the_same() -> None:
    old = design(chart("deep deep foam", "f"))
    new = old._replace(colours={**old.colours, "deep": Colour("deep", "#0b3c5d", "navy")})
    before, after = whole_piece(old, DOUBLED, None), whole_piece(new, DOUBLED, None)
    assert before.step(0) != after.step(0)
    taken = carried_over(before, after, [0, 1])
    assert taken is not None
    assert taken.history == [0, 1]
    other = design(Steps((), written("Cut", ("Bind", 2), "Sort").steps, doubled=True))
    assert carried_over(before, whole_piece(new, other, None), [0, 1]) is None


def test_laying_out_stands_where_the_start_says() -> None:
    cut, bind, sort = THREE
    marked = DOUBLED._replace(body=Steps((), (cut, bind, sort._replace(lay_out=True))))
    assert whole_piece(design(chart("deep foam", "f")), None, None).lays_out_at() == 0
    assert started("deep foam foam deep").lays_out_at() == 4
    assert started("deep foam foam deep", marked).lays_out_at() == 3
    assert whole_piece(DOUBLED, None, None).lays_out_at() is None
    assert whole_piece(marked, None, None).lays_out_at() == 3


@pytest.mark.parametrize("name", BANDS)
def test_every_shipped_start_leads_into_laying_out(name: str) -> None:
    whole = whole_of(name)
    at = whole.lays_out_at()
    assert at is not None
    if whole.main.first:
        assert at < whole.main.first, "the start says where"
        cut = whole.step(0)
        assert isinstance(cut, WrittenStep)
        lengths = cut.lengths
        folded = whole.main.design.family.name != "braid"
        assert bool(lengths) == folded
        odd = folded and any(count % 2 for count in Counter(whole.strings).values())
        assert ("single" in lengths) == odd
        start = whole.parts[0].design.body
        assert isinstance(start, Steps)
        told = " ".join(f"{step.do} {step.hint}" for step in start.steps)
        assert "single length" in told or not folded, "says where a single string is knotted in"
    else:
        assert at == 0


def keys(text: str) -> list[str]:
    """The problems of a start on `text`."""
    _, problems = parse(f"benchmate: 1\ntitle: T\nfamily: steps\ncolours: {{a: teal}}\n{text}")
    return [f"{problem.line}:{problem.column}: {problem.message}" for problem in problems]


def test_the_two_keys_of_a_start() -> None:
    read, problems = parse(
        "benchmate: 1\ntitle: T\nfamily: steps\ncolours: {a: teal}\ndoubled: true\n"
        "steps:\n- do: Cut\n- {do: Sort, lay_out: true}\n- {do: Go, lay_out: false}\n"
    )
    assert problems == []
    assert read is not None
    assert isinstance(read.body, Steps)
    assert read.body.doubled
    assert [step.lay_out for step in read.body.steps] == [False, True, False]
    assert keys("doubled: yes\nsteps: [{do: Cut}]\n") == ["5:10: `doubled` must be true or false (found `yes`)"]
    assert keys("steps:\n- {do: Cut, lay_out: 1}\n") == ["6:22: `lay_out` must be true or false (found `1`)"]


def test_the_json_of_a_start_is_as_it_was(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["order", "fold-over-a-pin", "--json"]) == 0
    steps = json.loads(capsys.readouterr().out)["steps"]
    assert {tuple(step) for step in steps} == {("n", "row", "do", "hint", "time", "of")}


# Line by line.


def follow(kept: Kept, text: str, folder: Path, given: str) -> tuple[list[str], list[str]]:
    """What a piece prints on standard output and on standard error."""
    out, notices = io.StringIO(), io.StringIO()
    assert plain.run(begun(kept, written_to(folder, text)), Answers(io.StringIO(given)), Lines(out, notices)) == 0
    return out.getvalue().splitlines(), notices.getvalue().splitlines()


BAND = """\
benchmate: 1
title: Sorrel
family: diagonal
colours: {deep: "#0b3c5d", foam: {css: "#f4f1de", say: 1/2 foam}}
strings: [foam, deep, deep, foam]
rows: [f f, f]
"""


def test_l_prints_the_strings_and_the_step_again_and_counts_nothing(kept: Kept, tmp_path: Path) -> None:
    lines, notices = follow(kept, BAND, tmp_path, "l\n\nb\nl\n\nl\nq\n")
    first = "1/3 forward, 1 1/2 foam over 2 deep, then 1/2 foam hangs at 2, deep at 1; row 1"
    laid = [line for line in lines if not STEP_LINE.match(line)]
    assert lines[0] == lines[8] == first
    assert (
        laid
        == [
            "cut: 1/2 foam, 28 cm, for string 1; length 1 of 4",
            "cut: 1/2 foam, 26 cm, for string 4; length 2 of 4",
            "cut: deep, 27 cm, for string 3; length 3 of 4",
            "cut: deep, 26 cm, for string 2; length 4 of 4",
            "lay out: 1/2 foam at 1, 1 string at the left edge; tape or clip them a hand's width below the ends",
            "lay out: deep at 2 and 3, 2 strings to the right of 1/2 foam",
            "lay out: 1/2 foam at 4, 1 string to the right of deep; that is all 4",
        ]
        * 2
    )
    assert notices == [laying_out.TOO_LATE]
    (piece,) = kept.pieces.all()
    assert piece.done == 1


def test_l_alone_begins_no_piece(kept: Kept, tmp_path: Path) -> None:
    follow(kept, BAND, tmp_path, "l\nl\n")
    assert kept.pieces.all() == []


def test_l_without_strings_says_so(kept: Kept, tmp_path: Path) -> None:
    lines, notices = follow(kept, WRITTEN.replace("strings: [ink]\n", ""), tmp_path, "l\n")
    assert len(lines) == 1
    assert notices == [laying_out.NO_STRINGS]


class AtATerminal(io.StringIO):
    """Answers that a person types."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("text", "expected", "at_the_next_step"),
    [
        (BAND, "l: cut and lay out the strings, one length a line.", [small_trouble.SHOWS]),
        (ROPE, "l: cut the lengths, load the slots, one length a line.", []),
        (WRITTEN, "l: lay out the strings, one colour a line.", []),
    ],
)
def test_a_person_at_a_terminal_is_offered_it_once(
    kept: Kept, tmp_path: Path, text: str, expected: str, at_the_next_step: list[str]
) -> None:
    file = written_to(tmp_path, text)
    notices = io.StringIO()
    plain.run(begun(kept, file), Answers(AtATerminal("\nq\n")), Lines(io.StringIO(), notices))
    assert notices.getvalue().splitlines() == [expected, opening_line(), *at_the_next_step]
    notices = io.StringIO()
    resumed = openings.follow(kept, str(file), openings.NO_OPTIONS, new=False)
    resumed.held.hold()
    plain.run(resumed, Answers(AtATerminal("q\n")), Lines(io.StringIO(), notices))
    assert notices.getvalue().splitlines() == [opening_line()]
