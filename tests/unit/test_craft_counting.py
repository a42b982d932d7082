"""How many there are, in words."""

import pytest

from benchmate.craft.wording.counting import counted


@pytest.mark.parametrize(
    ("number", "words"), [(0, "0 knots"), (1, "1 knot"), (2, "2 knots"), (11, "11 knots"), (21, "21 knots")]
)
def test_one_is_one_and_all_else_are_many(number: int, words: str) -> None:
    assert counted(number, "knot") == words


def test_more_than_one_can_be_said_otherwise() -> None:
    assert counted(1, "pass of the shuttle", "passes of the shuttle") == "1 pass of the shuttle"
    assert counted(3, "pass of the shuttle", "passes of the shuttle") == "3 passes of the shuttle"
