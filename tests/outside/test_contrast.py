"""Contrast against published values."""

import pytest

from benchmate.craft.colours.colour import contrast

# WCAG 2.x, contrast ratio (L1 + 0.05) / (L2 + 0.05) of relative luminances, rounded to four places.
PUBLISHED = [
    ("#000000", "#ffffff", 21.0000),
    ("#777777", "#ffffff", 4.4781),
    ("#767676", "#ffffff", 4.5422),
    ("#949494", "#ffffff", 3.0335),
    ("#959595", "#ffffff", 2.9953),
    ("#595959", "#ffffff", 7.0047),
    ("#ff0000", "#ffffff", 3.9985),
    ("#00ff00", "#ffffff", 1.3722),
    ("#0000ff", "#ffffff", 8.5925),
    ("#ffff00", "#000000", 19.5560),
    ("#808080", "#000000", 5.3172),
    ("#ffff00", "#ffffff", 1.0738),
    ("#008000", "#ffffff", 5.1374),
    ("#ff0000", "#00ff00", 2.9139),
    ("#000080", "#ffffff", 16.0097),
]


@pytest.mark.parametrize(("one", "other", "ratio"), PUBLISHED)
def test_contrast(one: str, other: str, ratio: float) -> None:
    assert round(contrast(one, other), 4) == round(contrast(other, one), 4) == ratio
