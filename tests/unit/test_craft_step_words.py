"""Steps in words, and the tags beside colours."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.wording import step_words
from benchmate.families.steps.body import Instruction, Steps
from tests.charts import chart, design, seeded, written


def lines(*texts: str, strings: str = "deep foam foam deep") -> list[str]:
    """The line of every knot of a band."""
    whole = whole_piece(design(chart(strings, *texts)), None, None)
    return [step_words.spoken(whole.main, whole.step(number)) for number in range(whole.size)]


def test_a_question_keeps_its_mark_and_gets_no_full_stop() -> None:
    steps = (Instruction("Have they changed places?", "If not, pull back", 1), Instruction("Look!", None, 2))
    part = whole_piece(design(Steps((), steps)), None, None).main
    assert step_words.spoken(part, part.work.step(0)) == "Have they changed places? If not, pull back"
    assert step_words.spoken(part, part.work.step(1)) == "Look! 1 of 2"


def test_a_knot_in_one_line() -> None:
    assert lines("f b", "bf", "fb f") == [
        "forward, 1 deep over 2 foam, then deep hangs at 2, foam at 1; row 1",
        "backward, 4 deep over 3 foam, then deep hangs at 3, foam at 4; row 1",
        "backward-forward, 3 deep over 2 deep, each stays on its side; row 2",
        "forward-backward, 1 foam over 2 deep, each stays on its side; row 3",
        "forward, 3 deep over 4 foam, then deep hangs at 4, foam at 3; row 3",
    ]


def test_two_strings_of_one_colour_change_places() -> None:
    assert lines("f", strings="deep deep") == ["forward, 1 deep over 2 deep, they change places; row 1"]


def test_a_colour_goes_by_its_label() -> None:
    plain = design(chart("deep foam", "f"))
    sea = plain._replace(colours={**plain.colours, "foam": Colour("foam", "#f4f1de", "off white")})
    part = whole_piece(sea, None, None).main
    assert step_words.spoken(part, part.work.step(0)) == (
        "forward, 1 deep over 2 off white, then deep hangs at 2, off white at 1; row 1"
    )


def test_a_written_step_has_its_count_and_hint() -> None:
    steps = (Instruction("Fold in half.", "Leave a loop", 1), Instruction("Braid", "Pull evenly.", 2))
    part = whole_piece(design(Steps((), steps)), None, None).main
    written_steps = [part.work.step(number) for number in range(3)]
    assert [step_words.spoken(part, step) for step in written_steps] == [
        "Fold in half. Leave a loop",
        "Braid. 1 of 2. Pull evenly",
        "Braid. 2 of 2. Pull evenly",
    ]
    assert [step_words.name_of(part, step) for step in written_steps] == ["Fold in half.", "Braid", "Braid"]
    assert [part.design.family.words.counted(step) for step in written_steps] == ["", "1 of 2", "2 of 2"]


def test_a_step_line_counts_through_the_whole_piece() -> None:
    whole = whole_piece(design(chart("deep foam", "fb")), design(written("Fold")), design(written("Trim")))
    assert [step_words.line(whole, n, n - 1) for n in (1, 2, 3)] == [
        "1/3 Fold",
        "2/3 forward-backward, 1 deep over 2 foam, each stays on its side; row 1, band knot 1",
        "3/3 Trim",
    ]
    assert step_words.name_of(whole.main, whole.step(1)) == "forward-backward"
    assert whole.main.design.family.words.counted(whole.step(1)) == ""


def test_tags_resemble_the_names() -> None:
    said = {"deep": "deep", "dawn": "dawn", "dew": "dew", "dee": "dee", "x": "off white"}
    assert step_words.tags(said) == {"deep": "de", "dawn": "da", "dew": "dw", "dee": "d2", "x": "of"}


@given(st.lists(st.text(max_size=6), max_size=40))
@seeded
def test_tags_are_all_different(called: list[str]) -> None:
    tags = step_words.tags({str(at): name for at, name in enumerate(called)})
    assert len(set(tags.values())) == len(called)
    assert all(1 <= len(tag) <= 2 and tag.isalnum() for tag in tags.values())


@pytest.mark.parametrize("count", [100, 500, 1296, 1300, 20_000])
def test_tags_are_all_different_for_many_colours(count: int) -> None:
    tags = step_words.tags({f"c{number}": f"c{number}" for number in range(count)})
    assert len(set(tags.values())) == count
    assert all(1 <= len(tag) <= 2 and tag.isalnum() for tag in tags.values())
