"""Counts in words."""

import pytest

from benchmate.craft.wording.counting import counted, listed


@pytest.mark.parametrize(
    ("number", "words"), [(0, "0 knots"), (1, "1 knot"), (2, "2 knots"), (11, "11 knots"), (21, "21 knots")]
)
def test_one_is_singular_and_other_counts_are_plural(number: int, words: str) -> None:
    assert counted(number, "knot") == words


def test_the_plural_can_be_given() -> None:
    assert counted(1, "pass of the shuttle", "passes of the shuttle") == "1 pass of the shuttle"
    assert counted(3, "pass of the shuttle", "passes of the shuttle") == "3 passes of the shuttle"


@pytest.mark.parametrize(
    ("items", "says"), [([], ""), ([4], "4"), (["moss", "teal"], "moss and teal"), ([1, 3, 5], "1, 3 and 5")]
)
def test_lists(items: list[object], says: str) -> None:
    assert listed(items) == says
