"""Lengths as people read, hear and type them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmate.craft.wording.length_words import (
    UNITS,
    fine_words,
    length_words,
    mm_of,
    spoken_length_words,
    total_words,
)
from tests.charts import seeded

lengths = st.floats(0, 20_000, allow_nan=False)


@pytest.mark.parametrize(
    ("mm", "centimetres", "inches"),
    [
        (0, "0 mm", "0 in"),
        (3, "3 mm", "⅛ in"),
        (9.4, "9 mm", "⅜ in"),
        (9.5, "1 cm", "⅜ in"),
        (16, "1.5 cm", "⅝ in"),
        (165, "16.5 cm", "6½ in"),
        (162, "16 cm", "6⅜ in"),
        (940, "94 cm", "37 in"),
        (997.4, "99.5 cm", "39¼ in"),
        (997.5, "1 m", "39¼ in"),
        (1004, "1 m", "39½ in"),
        (1050, "1 m 5 cm", "41⅜ in"),
        (1880, "1 m 88 cm", "74 in"),
        (1995, "2 m", "78½ in"),
        (12_344, "12 m 34 cm", "486 in"),
    ],
)
def test_lengths_on_screen(mm: float, centimetres: str, inches: str) -> None:
    assert length_words(mm, "cm") == centimetres
    assert length_words(mm, "inches") == inches


@pytest.mark.parametrize(
    ("mm", "centimetres", "inches"),
    [
        (3, "3 millimetres", "an eighth of an inch"),
        (1, "1 millimetre", "0 inches"),
        (10, "1 centimetre", "3 eighths of an inch"),
        (12.7, "1 and a half centimetres", "half an inch"),
        (165, "16 and a half centimetres", "6 and a half inches"),
        (162, "16 centimetres", "6 and 3 eighths inches"),
        (25.4, "2 and a half centimetres", "1 inch"),
        (940, "94 centimetres", "37 inches"),
        (1000, "1 metre", "39 and 3 eighths inches"),
        (1010, "1 metre 1 centimetre", "39 and 3 quarters inches"),
        (1050, "1 metre 5 centimetres", "41 and 3 eighths inches"),
        (1880, "1 metre 88", "74 inches"),
        (2100, "2 metres 10", "82 and 5 eighths inches"),
    ],
)
def test_lengths_by_ear(mm: float, centimetres: str, inches: str) -> None:
    assert spoken_length_words(mm, "cm") == centimetres
    assert spoken_length_words(mm, "inches") == inches


def test_thread_in_all_and_measures_of_a_band() -> None:
    assert (total_words(940, "cm"), total_words(12_540, "cm"), total_words(12_540, "inches")) == (
        "94 cm",
        "12.5 m",
        "13.7 yards",
    )
    assert (fine_words(42, "cm"), fine_words(42, "inches")) == ("4.2 cm", "1⅝ in")


@pytest.mark.parametrize(
    ("text", "in_centimetres", "in_inches"),
    [
        ("16.5", 165, 419.1),
        (" 16,5 ", 165, 419.1),
        ("16,5 cm", 165, 165),
        ("165mm", 165, 165),
        ("165 millimeters", 165, 165),
        ("1 m 88", 1880, 1880),
        ("1m88cm", 1880, 1880),
        ("1 metre 88", 1880, 1880),
        ("1 m 5 mm", 1005, 1005),
        ("1.88 m", 1880, 1880),
        ("6 3/8 in", 161.925, 161.925),
        ("6⅜ in.", 161.925, 161.925),
        ('6-3/8"', 161.925, 161.925),
        ("6 3/8″", 161.925, 161.925),
        ("3/8", 3.75, 9.525),
        ("½", 5, 12.7),
        ("1 1/2", 15, 38.1),
        ("37 INCHES", 939.8, 939.8),
        ("5 ft 3", 1600.2, 1600.2),
        ("2 yd", 1828.8, 1828.8),
        (".5", 5, 12.7),
        ("0", 0, 0),
        ("16.5.", 165, 419.1),
    ],
)
def test_typed_lengths(text: str, in_centimetres: float, in_inches: float) -> None:
    assert mm_of(text, "cm") == pytest.approx(in_centimetres)
    assert mm_of(text, "inches") == pytest.approx(in_inches)


@pytest.mark.parametrize(
    "text",
    [
        *("", "m", "cm 5", "-5", "5 5 5", "1 20", "1.5 m 20", "1 m 120", "1/0", "1 1/0 in", "nan", "inf", "1e5"),
        *("5 ells", "1.000,5", "٣", "1 cm 5", "5 cm 5 m", "1//2", "99999999999"),
    ],
)
def test_what_is_no_length(text: str) -> None:
    assert mm_of(text, "cm") is None


@settings(seeded, max_examples=50)
@given(lengths, st.sampled_from(UNITS))
def test_a_length_as_shown_is_read_back(mm: float, units: str) -> None:
    """To the nearest half centimetre below a metre, the nearest centimetre from there, and the nearest eighth."""
    read = mm_of(length_words(mm, units), units)
    assert read is not None
    off = 25.4 / 16 if units == "inches" else 0.5 if mm < 9.5 else 2.5 if mm < 997.5 else 5
    assert abs(read - mm) <= off + 1e-9
    # Shown once more, it is the same: nothing drifts.
    assert length_words(read, units) == length_words(mm, units)


@settings(seeded, max_examples=50)
@given(st.text(max_size=12))
def test_any_text_is_a_length_above_nothing_or_none(text: str) -> None:
    for units in UNITS:
        read = mm_of(text, units)
        assert read is None or 0 <= read < 1e13


@settings(seeded, max_examples=50)
@given(lengths, lengths, st.sampled_from(UNITS))
def test_a_longer_length_never_reads_shorter(one: float, other: float, units: str) -> None:
    short, long = sorted((one, other))
    shown = [mm_of(length_words(mm, units), units) for mm in (short, long)]
    assert shown[0] is not None
    assert shown[1] is not None
    assert shown[0] <= shown[1]
