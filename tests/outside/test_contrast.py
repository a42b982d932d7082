"""Contrast against ratios that W3C prints, and against ratios worked out from its published formula."""

import pytest

from benchmate.craft.colours.colour import contrast

PUBLISHED = [
    ("#000000", "#ffffff", 21, 1),
    ("#000000", "#dedede", 15, 1),
    ("#949494", "#ffffff", 3, 1),
    ("#e5e5e5", "#6221ea", 5.6, 0.1),
    ("#ffffff", "#6e747b", 4.7, 0.1),
    ("#9d9d9d", "#ffffff", 2.7, 0.1),
    ("#aaaaaa", "#ffffff", 2.3, 0.1),
    ("#cccccc", "#ffffff", 1.6, 0.1),
    ("#fff000", "#ffffff", 1.2, 0.1),
]
"""Published: W3C, Understanding WCAG 2.2, 1.4.11 Non-text Contrast, its examples. The ratio, and its last place.

Some are cut off there and some are rounded.
"""

DERIVED = [
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
"""Derived: worked out from the published formula, to four places. WCAG 2.x: (L1 + 0.05) / (L2 + 0.05) of relative
luminances."""


@pytest.mark.parametrize(("one", "other", "ratio", "unit"), PUBLISHED)
def test_published_ratios(one: str, other: str, ratio: float, unit: float) -> None:
    assert contrast(one, other) == contrast(other, one) == pytest.approx(ratio, abs=unit)


@pytest.mark.parametrize(("one", "other", "ratio"), DERIVED)
def test_ratios_worked_out_from_the_published_formula(one: str, other: str, ratio: float) -> None:
    assert round(contrast(one, other), 4) == round(contrast(other, one), 4) == ratio
