"""Variegated threads in a design file: what is read, and every problem with its place and what would be right."""

import pytest

from benchmate.craft.colours.colour import Colour, ColourLength
from benchmate.craft.colours.colour_difference import ciede2000, lab
from benchmate.craft.thread.variegated.sequence import average
from benchmate.craft.wording.compare import changes
from benchmate.design_files.load import parse

BAND = """\
benchmate: 1
title: Ford at dusk
family: diagonal
colours:
  dusk: {css: CSS, say: late sky}
  clay: "#b5533c"
strings: [dusk, clay]
rows: [f, ""]
"""
SKY = '[Navy 400, "#f4f1de 250.5", teal 400]'


def band(css: str) -> str:
    return BAND.replace("CSS", css)


def colour(css: str) -> Colour:
    design, problems = parse(band(css))
    assert problems == []
    assert design is not None
    return design.colours["dusk"]


def said(css: str) -> list[str]:
    design, problems = parse(band(css))
    assert (design is None) == bool(problems)
    return [f"{each.line}:{each.column}: {each.message}" for each in problems]


def test_a_list_is_read_as_colours_with_their_lengths() -> None:
    found = colour(SKY)
    assert found.say == "late sky"
    assert found.sequence == (
        ColourLength("#000080", 400.0, "navy"),
        ColourLength("#f4f1de", 250.5, "beige"),
        ColourLength("#008080", 400.0, "teal"),
    )
    assert found.values == ("#000080", "#f4f1de", "#008080")
    assert found.described == "late sky (navy, beige, teal)"
    assert [found.value_at(part) for part in range(3)] == list(found.values)


def test_an_ordinary_colour_stays_as_it_was() -> None:
    found = colour("Navy")
    assert found == Colour("dusk", "#000080", "late sky")
    assert (found.values, found.described, found.value_at(0)) == (("#000080",), "late sky", "#000080")


def test_lists_may_be_written_one_item_a_line() -> None:
    text = BAND.replace("{css: CSS, say: late sky}", '\n    css:\n    - navy 400\n    - "#fff   2"\n    - teal 1')
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert [each.mm for each in design.colours["dusk"].sequence] == [400, 2, 1]


def test_colours_in_hex_have_words_of_their_own() -> None:
    # Both are nearest to navy, and the word of a colour that is named is taken.
    names = [each.say for each in colour('["#000078 1", "#00007c 1", navy 1]').sequence]
    assert names[2] == "navy"
    assert len(set(names)) == 3
    assert all(name.isalpha() for name in names)
    assert [each.say for each in colour('["#f00 5", teal 5, "#f00 5", black 5]').sequence].count("red") == 2


@pytest.mark.parametrize(
    ("css", "expected"),
    [
        ("[navy 400]", ["5:15: a thread that changes needs at least two colours with their lengths in mm"]),
        ("[]", ["5:15: a thread that changes needs at least two colours with their lengths in mm"]),
        ("[navy, teal 400]", ["5:16: `navy` has no length: write a colour and how many mm"]),
        ("[400, teal 400]", ["5:16: `400` has no colour: write a colour and how many mm"]),
        ('["", teal 400]', ["5:16: this has no colour and no length: write a colour"]),
        ("[400 navy, teal 400]", ["5:16: the colour comes first: write `navy 400`"]),
        ("[navy 400mm, teal 400]", ["5:16: the length after a colour must be from 1 to 100000 mm, without a unit"]),
        ("[navy 400 mm, teal 400]", ["5:16: the length after a colour must be from 1 to 100000 mm, without a unit"]),
        ("[navy 0.9, teal 400]", ["5:16: the length after a colour must be from 1 to 100000 mm, such as `navy 400`"]),
        ("[navy 100000.1, teal 400]", ["5:16: the length after a colour must be from 1 to 100000 mm"]),
        ("[navy -5, teal 400]", ["5:16: the length after a colour must be from 1 to 100000 mm"]),
        ("[navy 4e2, teal 400]", ["5:16: the length after a colour must be from 1 to 100000 mm"]),
        ("[navy 4., teal .4]", ["5:16: the length", "5:25: the length"]),
        ("[nvy 400, teal 400]", ["5:16: `nvy` is not a CSS colour; did you mean `navy`?"]),
        ("['#00008 400', teal 400]", ["5:16: `#00008` is not a colour: write 3 or 6 digits after #"]),
        ("[dark blue 400, teal 400]", ["5:16: `dark blue` is not a CSS colour"]),
        ("[[navy 400], teal 400]", ["5:16: a colour of a thread must be a colour and its length in mm"]),
        ("[navy 400, '#000080 200.5', teal 1]", ["5:26: the same colour follows itself: write both as one"]),
        ("[navy 400, teal 1, navy 20]", ["5:34: the thread begins again with this colour, so its first colour has"]),
        ("{navy: 400}", ["5:15: `css` must be a CSS colour, or [navy 400, teal 250] for a thread that changes"]),
        ("[nvy 400, teal, red 0]", ["5:16: `nvy` is", "5:25: `teal` has no length", "5:31: the length"]),
    ],
)
def test_every_problem_has_its_place_and_says_what_would_be_right(css: str, expected: list[str]) -> None:
    found = said(css)
    assert len(found) == len(expected), found
    for line, begins in zip(found, expected, strict=True):
        assert line.startswith(begins), found


def test_an_item_without_a_length_is_shown_with_one() -> None:
    assert said("[teal, navy 4]")[0].endswith("such as `teal 400`")
    assert said("[navy 400, teal 1, navy 20]")[0].endswith("leave this out, and begin with `navy 420`")
    assert said('["#fff 1.5", "#ffffff 2", teal 1]')[0].endswith("write both as one, `#ffffff 3.5`")
    assert said("[navy 400]")[0].endswith("(found 1); for one colour write `css: navy`")


def test_a_thread_has_at_most_a_hundred_colours_and_a_design_a_thousand() -> None:
    many = [f'"#{number:06x} 1"' for number in range(10_000)]
    assert len(colour(f"[{', '.join(many[:100])}]").sequence) == 100
    assert said(f"[{', '.join(many)}]") == ["5:15: a thread must have at most 100 colours (found 10000)"]
    each = f"{{css: [{', '.join(many[:100])}]}}"
    text = BAND.replace("  dusk: {css: CSS, say: late sky}", "\n".join(f"  t{at}: {each}" for at in range(11)))
    design, problems = parse(text.replace("[dusk, clay]", "[t1, clay]"))
    assert design is None
    assert [(each.line, each.column, each.message) for each in problems] == [
        (15, 3, "the threads of a design must have at most 1000 colours along them, all lists together")
    ]


def test_a_list_in_place_of_css_is_refused_as_before() -> None:
    design, problems = parse(BAND.replace("{css: CSS, say: late sky}", "[navy 400, teal 2]"))
    assert design is None
    assert problems[0].message.startswith("a colour must be a CSS colour such as `teal`, or a mapping")


def test_the_average_is_the_mean_along_the_thread() -> None:
    # By hand, in CIE L*a*b*: black has L* 0, white 100, and greys have no hue.
    greys = (ColourLength("#000000", 300, "black"), ColourLength("#ffffff", 100, "white"))
    lightness, a, b = lab(average(greys))
    assert lightness == pytest.approx(25, abs=0.3)
    assert (a, b) == pytest.approx((0, 0), abs=0.3)
    one, other = lab("#b5533c"), lab("#3c8fb5")
    middle = tuple((x + y) / 2 for x, y in zip(one, other, strict=True))
    found = average((ColourLength("#b5533c", 7, "clay"), ColourLength("#3c8fb5", 7, "sky")))
    assert ciede2000(lab(found), (middle[0], middle[1], middle[2])) < 0.5
    assert colour("[red 100000, teal 1]").value == "#ff0000"


def test_another_sequence_is_another_colour() -> None:
    old, new = (parse(band(css))[0] for css in ("[navy 400, teal 400]", "[navy 300, teal 300]"))
    assert old is not None
    assert new is not None
    # Their averages are the same.
    assert old.colours["dusk"].value == new.colours["dusk"].value
    assert changes(old, new) == ["colour changed: dusk"]
