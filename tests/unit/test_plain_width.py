"""Lines of plain mode in a width: a step on one line where it can be, abbreviated where it must be, and back."""

import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.wording import step_words
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from benchmate.display.cells import cells_of
from benchmate.plain.abbreviations import KNOTS, NUMBERED, PHRASES, abbreviated, abbreviations, in_full
from benchmate.plain.lines import Lines, other_lines, step_lines

STEP = "12/300 forward, 3 deep over 4 foam, then deep hangs at 4, foam at 3; row 1"
PHRASES_AND_UNITS = {**KNOTS, **PHRASES, **{f"{unit} 12": f"{short}12" for unit, short in NUMBERED.items()}}
SHORT = set(PHRASES_AND_UNITS.values())
COUNT = re.compile(r"\d+/\d+ ")

words = st.sampled_from(
    [
        *PHRASES_AND_UNITS,
        *sorted(SHORT),
        *(f'"{short}"' for short in sorted(SHORT)),
        *(short.upper() for short in sorted(SHORT)),
        *("deep", "3", "12/40", "1/2", "then", "hangs", "at", "take", "goes back", "they change places", "pale  rain"),
        *("forward, 3 a over 4 b", "each stays on its side", "then b hangs at 4", "=", "rows", "row"),
        *("f.", "x;", "(o)", "深い", "e\u0301", '"', '""', "x" * 45, "x" * 30 + "3/4"),
    ]
)
texts = st.lists(words, max_size=14).flatmap(
    lambda each: st.lists(st.sampled_from([" ", ", ", "; ", ": "]), min_size=len(each), max_size=len(each)).map(
        lambda joins: "".join(f"{word}{join}" for word, join in zip(each, joins, strict=True)).rstrip()
    )
)


def labels(*names: str) -> st.SearchStrategy[str]:
    return st.one_of(words, st.sampled_from(names))


@given(texts)
def test_what_is_abbreviated_can_be_undone(text: str) -> None:
    assert in_full(abbreviated(text)) == text


@given(labels("deep", "a over 3 b"), labels("deep", "foam, then x hangs at 4"), st.integers(1, 500), st.booleans())
def test_the_line_of_a_knot_comes_back_whole(knotting: str, passive: str, at: int, right: bool) -> None:
    to = at + 1 if right else at - 1
    outcome = f"then {knotting} hangs at {to}, {passive} at {at}"
    if knotting == passive:
        outcome = "they change places"
    line = f"1/9 forward, {at} {knotting} over {to} {passive}, {outcome}; row 1"
    short = abbreviated(line)
    assert in_full(short) == line
    assert len(short) < len(line)


def test_every_shipped_step_comes_back_whole_and_mostly_on_one_braille_line() -> None:
    short = all_of_them = 0
    for path in shipped():
        file = load(path)
        whole = whole_piece(file.design, file.start and file.start.design, file.finish and file.finish.design)
        for number in range(0, whole.size, 1 + whole.size // 40):
            for comes_out in (False, True):
                line = step_words.line(whole, number + 1, number, comes_out=comes_out)
                assert in_full(abbreviated(line)) == line
                if whole.step(number) and not comes_out and whole.part_of(number).design.family.row_word == "row":
                    all_of_them += 1
                    short += len(step_lines(line, 40)) == 1
    assert all_of_them > 500
    assert short / all_of_them > 0.75


def test_no_abbreviation_stands_for_two_things_and_each_is_in_the_key() -> None:
    assert len(SHORT) == len(PHRASES_AND_UNITS)
    key = dict(line.split(": ", 1) for line in abbreviations() if ": " in line)
    assert {phrase: short for short, phrase in key.items() if short in SHORT} == PHRASES_AND_UNITS


@pytest.mark.parametrize("name", sorted(SHORT))
def test_a_colour_called_like_an_abbreviation_stands_in_quotes(name: str) -> None:
    line = f"1/9 backward, 3 {name} over 2 foam, then {name} hangs at 2, foam at 3; row 1"
    assert abbreviated(line) == f'1/9 b, 3 "{name}" o 2 foam; r1'


def test_a_knot_without_its_outcome_is_marked_so_that_none_is_added() -> None:
    line = "1/9 forward, 3 deep over 4 foam; row 1"
    assert abbreviated(line) == "1/9 f, 3 deep o 4 foam; r1 ="


def test_a_step_stays_as_it_is_where_it_fits() -> None:
    assert step_lines(STEP, 0) == step_lines(STEP, len(STEP)) == [STEP]


def test_a_step_that_is_too_long_is_abbreviated() -> None:
    short = "12/300 f, 3 deep o 4 foam; r1"
    assert step_lines(STEP, len(STEP) - 1) == step_lines(STEP, len(short)) == [short]


def test_a_step_too_long_for_that_goes_over_several_lines() -> None:
    assert step_lines(STEP, 20) == ["12/300 f, 3 deep o 4", "foam; r1"]
    assert step_lines("1/2 Fold the strings over a pin", 20) == ["1/2 Fold the strings", "over a pin"]


def test_the_first_line_of_a_step_never_ends_behind_the_count() -> None:
    assert step_lines(f"3/40 {'x' * 18}", 20) == [f"3/40 {'x' * 15}", "xxx"]
    assert step_lines(f"3/40 {'x' * 15} over", 20) == [f"3/40 {'x' * 15}", "over"]


def test_a_wide_character_takes_two_cells() -> None:
    step = "1/9 Fold 深深深深深深"
    assert cells_of(step) == 21
    assert step_lines(step, 20) == ["1/9 Fold", "深深深深深深"]
    assert step_lines(step, 21) == [step]


@given(texts, st.integers(20, 60))
def test_only_the_first_line_of_a_step_begins_with_a_count(text: str, width: int) -> None:
    first, *rest = step_lines(f"3/40 {text}", width)
    printed = "".join([first, *rest]).replace(" ", "")
    others = [*rest, *other_lines(text, width), *other_lines(text, 0)]
    assert COUNT.match(first) or not text.strip()
    assert not [line for line in others if COUNT.match(line)]
    assert all(cells_of(line) <= width and line == line.strip() for line in [first, *rest, *other_lines(text, width)])
    assert printed in {f"3/40 {each}".replace(" ", "") for each in (text, abbreviated(f"3/40 {text}")[5:])}


def test_a_line_that_would_begin_like_a_step_is_broken_behind_the_count() -> None:
    assert other_lines("1/2 moon", 0) == ["1/2", "moon"]
    assert step_lines("3/40 Take the first 1/2 3/4 ell of it", 20) == ["3/40 Take the first", "1/2", "3/4", "ell of it"]


def test_no_text_prints_a_line_or_a_control_character_of_its_own_into_a_step() -> None:
    out, notices = io.StringIO(), io.StringIO()
    lines = Lines(out, notices)
    lines.step("1/2 a\n2/2 b\x1b[2J")
    lines.say("x\n1/2 y\x07")
    lines.notice("3/4 z")
    assert out.getvalue() == "1/2 a?2/2 b?[2J\nx\n1/2\ny?\n"
    assert notices.getvalue() == "3/4\nz\n"


def test_a_written_step_is_not_abbreviated() -> None:
    text = "49/63 Left over middle, then right over middle"
    assert " ".join(step_lines(text, 40, written=True)) == text
    assert " o " in " ".join(step_lines(text, 40))
