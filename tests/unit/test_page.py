"""Pages of text: everything needed is in sight at every size."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.bench.screens.page import Item, page
from benchmate.craft.colours.colour import contrast
from benchmate.display.cells import width_of
from benchmate.display.palette import DARK, LIGHT
from tests.charts import seeded
from tests.screen.benches import spans, text_of
from tests.unit.test_cells import texts

items = st.builds(Item, texts, st.sampled_from(["", "a", "q"]), st.booleans())


@seeded
@given(
    texts,
    st.lists(texts, max_size=4),
    st.lists(items, max_size=30),
    texts,
    st.integers(1, 320),
    st.integers(1, 110),
)
def test_a_page_is_exactly_as_large_as_the_screen(
    heading: str, messages: list[str], listed: list[Item], foot: str, width: int, height: int
) -> None:
    lines = page(heading, messages, listed, foot, width, height, DARK)
    assert len(lines) == height
    assert {width_of(line) for line in lines} == {width}


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 36), (200, 60)])
def test_every_answer_is_in_sight_however_long_the_question(size: tuple[int, int]) -> None:
    question = "the rows 3, 4 and 5 read different; " * 40
    answers = [Item("keep to it", "k"), Item("go on with the changed one", "g"), Item("begin a new one", "n")]
    text = text_of(page("CHANGED", [question], answers, "press one of: k  g  n", *size, DARK))
    assert "k  keep to it" in text
    assert "g  go on with the changed one" in text
    assert "n  begin a new one" in text
    assert "press one of: k  g  n" in text
    assert "the rows 3, 4 and 5" in text


@pytest.mark.parametrize("size", [(40, 12), (80, 24)])
def test_an_answer_too_long_for_a_line_wraps(size: tuple[int, int]) -> None:
    answer = "begin a new piece on the changed design; this one stays as it is"
    text = text_of(page("CHANGED", ["What now?"], [Item(answer, "n")], "n", *size, DARK))
    assert " ".join(text.split()).count(answer) == 1


@pytest.mark.parametrize("width", [40, 44, 60, 80])
def test_all_of_the_foot_is_in_sight(width: int) -> None:
    foot = ["up/down, then enter", "d: default keys", "escape: back"]
    text = text_of(page("PEDAL", ["Which?"], [Item("this")], "   ".join(foot), width, 12, DARK))
    assert all(part in text for part in foot)


@pytest.mark.parametrize("chosen", range(40))
def test_the_chosen_line_is_in_sight(chosen: int) -> None:
    listed = [Item(f"line {number}", "", number == chosen) for number in range(40)]
    text = text_of(page("LIST", ["Which one?"], listed, "up/down", 40, 12, DARK))
    assert f"> line {chosen} " in text
    assert "up/down" in text


def test_the_heading_is_large_where_there_is_room() -> None:
    small, large = (text_of(page("STOPPED", ["Why?"], [], "q", 80, height, DARK)) for height in (8, 24))
    assert "STOPPED" in small
    assert "STOPPED" not in large
    assert large.count("█") > 30


@pytest.mark.parametrize("palette", [DARK, LIGHT])
def test_pages_have_contrast(palette: object) -> None:
    assert palette in (DARK, LIGHT)
    colours = DARK if palette is DARK else LIGHT
    lines = page("LIST", ["Which?"], [Item("this", "a", True), Item("that", "b")], "foot", 80, 24, colours)
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1.
    assert all(contrast(span.ink, span.ground) >= 4.5 for span in spans(lines) if span.text.strip())
    assert "> a  this" in text_of(lines)
