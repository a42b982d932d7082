"""The four knots."""

import pytest

from benchmate.craft.knots import Knot
from benchmate.families.diagonal.body import DiagonalKnot

# Common practice: the knotting string is the left one in forward and forward-backward. Forward and backward are double
# half hitches and swap the strings; the other two have one half each way and do not.
PRACTICE = [
    ("f", "forward", "left", ("right", "right"), True),
    ("b", "backward", "right", ("left", "left"), True),
    ("fb", "forward-backward", "left", ("right", "left"), False),
    ("bf", "backward-forward", "right", ("left", "right"), False),
]


@pytest.mark.parametrize(("token", "words", "side", "halves", "swaps"), PRACTICE)
def test_knots_follow_common_practice(token: str, words: str, side: str, halves: tuple[str, str], swaps: bool) -> None:
    knot = Knot(token)
    assert (knot.words, knot.from_left, knot.halves, knot.swaps) == (words, side == "left", halves, swaps)


def test_there_are_four_knots() -> None:
    assert [knot.value for knot in Knot] == ["f", "b", "fb", "bf"]


@pytest.mark.parametrize(
    ("token", "knotting", "passive"),
    [
        ("f", (7, 3, 4), (9, 4, 3)),
        ("b", (9, 4, 3), (7, 3, 4)),
        ("fb", (7, 3, 3), (9, 4, 4)),
        ("bf", (9, 4, 4), (7, 3, 3)),
    ],
)
def test_positions_of_both_strings_before_and_after_a_knot(
    token: str, knotting: tuple[int, int, int], passive: tuple[int, int, int]
) -> None:
    knot = DiagonalKnot(row=5, left=3, knot=Knot(token), left_string=7, right_string=9)
    assert knot.pair == (3, 4)
    assert (knot.knotting, knot.knotting_from, knot.knotting_to) == knotting
    assert (knot.passive, knot.passive_from, knot.passive_to) == passive
