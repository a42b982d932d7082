"""CSS colours. Source of the values: CSS Color Module Level 4, "Named Colors" and "The RGB Hexadecimal Notations"."""

import pytest
from PIL import ImageColor

from benchmate.files.css import named_colours, parse_colour


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("teal", "#008080"),
        ("Teal", "#008080"),
        ("REBECCAPURPLE", "#663399"),
        ("mediumpurple", "#9370db"),
        ("palevioletred", "#db7093"),
        ("lightgoldenrodyellow", "#fafad2"),
        ("darkslategrey", "#2f4f4f"),
        ("#0b3c5d", "#0b3c5d"),
        ("#0B3C5D", "#0b3c5d"),
        ("#abc", "#aabbcc"),
    ],
)
def test_css_colours(text: str, value: str) -> None:
    assert parse_colour(text) == value


@pytest.mark.parametrize(
    "text",
    [
        *("", "#", "#ab", "#abcd", "#abcde", "#abcdef0", "#ggg", "#0x0", "#+12", "abc", "0b3c5d"),
        *(" teal", "transparent", "rgb(1,2,3)"),
        # A Kelvin sign lower-cases to k, and full-width digits are digits to int().
        *("blac\u212a", "#\uff11\uff12\uff13"),
    ],
)
def test_texts_that_are_not_colours(text: str) -> None:
    assert parse_colour(text) is None


def test_all_148_names_have_the_values_of_another_library() -> None:
    names = named_colours()
    assert len(names) == 148
    assert {name: ImageColor.getcolor(name, "RGB") for name in names} == {
        name: tuple(bytes.fromhex(value[1:])) for name, value in names.items()
    }


def test_grey_is_spelt_both_ways() -> None:
    names = named_colours()
    greys = [name for name in names if "grey" in name]
    assert len(greys) == 7
    assert all(names[name] == names[name.replace("grey", "gray")] for name in greys)
