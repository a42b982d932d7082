"""Lines of cells: exactly as wide as asked for, whatever is in them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from benchmate.display.cells import Span, beside, clip, cut, line, text_line, width_of, wrap
from tests.charts import seeded

texts = st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), max_size=60)
"""Anything a design's text may hold: wide characters, combining marks, signs of markup."""
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
def test_what_does_not_fit_is_cut_and_says_so(text: str, width: int, short: str) -> None:
    assert cut(text, width) == short


@seeded
@given(texts, st.integers(-3, 40))
def test_a_cut_text_fits(text: str, width: int) -> None:
    assert cell_len(cut(text, width)) <= max(0, width)


@seeded
@given(st.lists(texts, max_size=5), st.integers(0, 80))
def test_a_line_is_exactly_as_wide_as_asked(parts: list[str], width: int) -> None:
    made = line([Span(part, INK, GROUND) for part in parts], width, GROUND)
    assert width_of(made) == width
    assert all(span.text for span in made)


@seeded
@given(texts, st.integers(1, 80), st.integers(0, 3))
def test_a_line_of_text_is_exactly_as_wide_as_asked(text: str, width: int, indent: int) -> None:
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
def test_lines_left_out_are_said_to_be(count: int, width: int, shown: list[str]) -> None:
    assert clip(["over the", "pin", "and back"], count, width) == shown


def test_half_a_wide_character_is_a_space() -> None:
    assert line([Span("梅梅", INK, GROUND)], 3, GROUND) == (Span("梅 ", INK, GROUND),)


@seeded
@given(texts, st.integers(1, 30))
def test_wrapped_text_fits_and_loses_nothing(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert all(0 < cell_len(part) <= width for part in lines if part.strip())
    if width > 1:
        # In one cell no wide character has room.
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
def test_lines_break_at_spaces_where_there_are_any(text: str, width: int, lines: list[str]) -> None:
    assert wrap(text, width) == lines


def test_blocks_stand_beside_each_other() -> None:
    one, other = [line([], 2, GROUND)] * 2, [line([], 3, INK)] * 2
    assert [width_of(row) for row in beside([one, other])] == [5, 5]
    with pytest.raises(ValueError, match="shorter"):
        beside([one, other[:1]])
