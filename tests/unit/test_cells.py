"""Lines of cells: exactly as wide as requested, whatever text they hold."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from textual.strip import Strip

from benchmate.display.cells import (
    DEFAULT_COLOUR,
    Span,
    beside,
    cells_of,
    centred,
    clip,
    cut,
    fitted,
    joined,
    line,
    text_line,
    width_of,
    wrap,
)
from benchmate.files.safe_text import hidden_in
from tests.charts import seeded

ODD = "\ufe0f\u0301\u20e3\u0903\u1160\u302e\u2139\u26051#\u6885\u2588\U0001f1e6\U0001f3fb\U0001f9f5\ue000\u0378"
"""Marks that join or widen the character before them, characters they widen, wide characters, a block, a private and an
unassigned code point."""
texts = st.text(st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp")), max_size=60) | st.text(
    ODD + " ab", max_size=12
)
"""Any text a design may hold: wide characters, combining marks, markup signs, code points not assigned yet."""
INK, GROUND = "#ffffff", "#000000"


@pytest.mark.parametrize(
    ("text", "width", "short"),
    [
        ("plum", 4, "plum"),
        ("plum", 3, "p.."),
        ("plum", 2, ".."),
        ("plum", 1, "."),
        ("plum", 0, ""),
        ("dark plum", 7, "dark.."),
        ("梅梅梅", 6, "梅梅梅"),
        ("梅梅梅", 5, "梅.."),
        ("梅梅梅", 4, "梅.."),
        ("[b]梅[/b]", 6, "[b].."),
    ],
)
def test_a_text_that_does_not_fit_ends_in_dots(text: str, width: int, short: str) -> None:
    assert cut(text, width) == short


@seeded
@given(texts, st.integers(-3, 40))
def test_a_cut_text_fits(text: str, width: int) -> None:
    assert cell_len(cut(text, width)) <= max(0, width)


@seeded
@given(st.lists(texts, max_size=5), st.integers(0, 80))
def test_a_line_is_exactly_as_wide_as_requested(parts: list[str], width: int) -> None:
    made = line([Span(part, INK, GROUND) for part in parts], width, GROUND)
    assert width_of(made) == width
    assert all(span.text for span in made)


@seeded
@given(texts, st.integers(1, 80), st.integers(0, 3))
def test_a_line_of_text_is_exactly_as_wide_as_requested(text: str, width: int, indent: int) -> None:
    assert width_of(text_line(text, width, INK, GROUND, indent=indent)) == width


@pytest.mark.parametrize(
    ("count", "width", "shown"),
    [
        (3, 9, ["over the", "pin", "and back"]),
        (2, 9, ["over the", "pin.."]),
        (1, 8, ["over t.."]),
        (1, 1, ["."]),
        (1, 0, [""]),
        (0, 9, []),
    ],
)
def test_dots_show_that_lines_are_left_out(count: int, width: int, shown: list[str]) -> None:
    assert clip(["over the", "pin", "and back"], count, width) == shown


def test_every_code_point_is_as_wide_as_the_framework_paints_it() -> None:
    # Beyond the first four planes and the fourteenth, all of a plane is unassigned or private: one in fifty will do.
    assigned = [*range(0x40000), *range(0xE0000, 0xF0000)]
    others = [*range(0x40000, 0xE0000, 50), *range(0xF0000, sys.maxunicode + 1, 50), sys.maxunicode]
    signs = [sign for sign in map(chr, assigned + others) if not hidden_in(sign)]
    assert len(signs) > 300_000
    assert not [sign for sign in signs if cells_of(sign) != cell_len(sign)]


@pytest.mark.parametrize(
    ("sign", "cells"),
    [
        *(("a", 1), ("\u2588", 1), ("\u6885", 2), ("\uff21", 2), ("\u0301", 0), ("\U0001f9f5", 2), ("\ue000", 1)),
        # A spacing vowel mark and a conjoining jamo: their Unicode categories would suggest a width.
        *(("\u0903", 0), ("\u1160", 0)),
    ],
)
def test_the_width_of_single_characters(sign: str, cells: int) -> None:
    assert cells_of(sign) == cells


@seeded
@given(texts, st.integers(-3, 40))
def test_text_is_measured_and_fitted_as_the_framework_does(text: str, width: int) -> None:
    assert cells_of(text) == Segment(text).cell_length
    assert fitted(text, width) == set_cell_size(text, max(0, width))
    assert cells_of(fitted(text, width)) == max(0, width)


@seeded
@given(st.lists(texts, max_size=5), st.integers(0, 80))
def test_the_framework_gives_a_line_the_same_width(parts: list[str], width: int) -> None:
    made = line([Span(part, INK, GROUND) for part in parts], width, GROUND)
    assert Strip([Segment(span.text) for span in made]).cell_length == width


def test_a_span_has_the_terminals_default_colours_unless_given_others() -> None:
    assert Span("plum")[1:] == (DEFAULT_COLOUR, DEFAULT_COLOUR, False)
    assert joined([Span("a"), Span("b"), Span("c", INK), Span("d", INK), Span("e")]) == [
        *(Span("ab"), Span("cd", INK), Span("e")),
    ]


@seeded
@given(texts, st.integers(0, 40))
def test_a_centred_text_is_exactly_as_wide_as_requested(text: str, width: int) -> None:
    assert cells_of(centred(text, width)) == width


def test_plain_lines_are_made_without_the_framework() -> None:
    check = (
        "import sys; from benchmate.display.cells import Span, cells_of, cut, line, wrap; "
        "line([Span('plum'), Span('\u2588 \u259f'), Span('x' * 90)], 80, ''); cut('dark plum', 7); wrap('over it', 4); "
        "early = {'rich', 'textual'} & set(sys.modules); cells_of('\u6885'); "
        "late = {name for name in sys.modules if name.startswith(('rich.', 'textual')) and name[5] != '_'}; "
        "sys.exit(f'{early} {late}' if early or late != {'rich.cells'} else 0)"
    )
    done = subprocess.run([sys.executable, "-c", check], check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_half_a_wide_character_is_a_space() -> None:
    assert line([Span("梅梅", INK, GROUND)], 3, GROUND) == (Span("梅 ", INK, GROUND),)


@seeded
@given(texts, st.integers(1, 30))
def test_wrapped_text_fits_and_loses_nothing(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert all(part.strip() and cell_len(part) <= width for part in lines)
    if width > 1:
        # A wide character does not fit into one cell.
        assert "".join("".join(lines).split()) == "".join(text.split())


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("", 10, []),
        ("   ", 10, []),
        ("over the pin", 12, ["over the pin"]),
        ("over the pin", 8, ["over the", "pin"]),
        ("overthepin", 4, ["over", "thep", "in"]),
        ("a overthepin", 6, ["a over", "thepin"]),
        ("梅の花", 4, ["梅の", "花"]),
        ("梅の花", 3, ["梅", "の", "花"]),
        ("a梅", 1, ["a"]),
        ("a bc", 1, ["a", "b", "c"]),
    ],
)
def test_lines_break_at_spaces_where_possible(text: str, width: int, lines: list[str]) -> None:
    assert wrap(text, width) == lines


def test_blocks_side_by_side() -> None:
    one, other = [line([], 2, GROUND)] * 2, [line([], 3, INK)] * 2
    assert [width_of(row) for row in beside([one, other])] == [5, 5]
    with pytest.raises(ValueError, match="shorter"):
        beside([one, other[:1]])


@pytest.mark.parametrize("width", [0, -1, -30])
def test_text_for_no_room_is_wrapped_as_for_one_cell(width: int) -> None:
    assert wrap("ab", width) == ["a", "b"]
