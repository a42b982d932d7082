"""Luminance and contrast."""

from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import BLACK, WHITE, best_ground, contrast, ink_on, luminance
from tests.charts import seeded

colours = st.integers(0, 0xFFFFFF).map("#{:06x}".format)


def test_black_and_white_have_the_least_and_most_luminance() -> None:
    assert (luminance(BLACK), luminance(WHITE)) == (0, 1)
    assert contrast(BLACK, WHITE) == 21


@given(colours, colours)
@seeded
def test_contrast_is_symmetric_and_between_1_and_21(one: str, other: str) -> None:
    assert contrast(one, other) == contrast(other, one)
    assert 1 <= contrast(one, other) <= 21
    assert contrast(one, one) == 1


@given(colours)
@seeded
def test_ink_is_readable_on_any_colour(colour: str) -> None:
    ink = ink_on(colour)
    assert ink in (BLACK, WHITE)
    assert contrast(ink, colour) >= 4.5


def test_the_best_background_has_the_highest_least_contrast() -> None:
    grounds = ["#101010", "#f0f0f0"]
    assert best_ground(grounds, ["#ffffff", "#cccccc"]) == "#101010"
    assert best_ground(grounds, ["#000000", "#333333"]) == "#f0f0f0"
    assert best_ground(grounds, ["#ffffff", "#404040"]) == "#101010"
    assert best_ground(grounds, []) == "#101010"


@given(st.lists(colours, min_size=1, max_size=4), st.lists(colours, max_size=4))
@seeded
def test_no_other_background_has_better_least_contrast(grounds: list[str], shown: list[str]) -> None:
    def least(ground: str) -> float:
        return min((contrast(ground, colour) for colour in shown), default=1)

    assert least(best_ground(grounds, shown)) == max(map(least, grounds))
