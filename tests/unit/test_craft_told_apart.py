"""The colours in which a terminal shows threads: no two alike, and each as near to its own as that allows."""

from itertools import combinations, product
from math import atan2, degrees
from pathlib import Path
from random import Random

import pytest

from benchmate.craft.colours.apart import ENOUGH, ENOUGH_IN_GREY, FEW, MOST_GREYS, told_apart
from benchmate.craft.colours.colour_difference import ciede2000, difference, lab
from benchmate.craft.colours.terminal_colours import (
    FIXED,
    SIXTEEN,
    TRUE_COLOUR,
    ColourDepth,
    depth_said_by,
    grey_of,
    is_grey,
    nearest,
    number_of,
)
from benchmate.craft.design import Design
from benchmate.design_files.load import load
from tests.shelf import FILES

DEPTHS = (ColourDepth(16), ColourDepth(256), TRUE_COLOUR)
GREYS = (ColourDepth(16, True), ColourDepth(256, True), ColourDepth(0, True))


def values_shown(values: tuple[str, ...], depth: ColourDepth) -> list[str]:
    """The colours alone; no patterns are needed."""
    shown = told_apart(values, depth)
    assert not any(each.pattern for each in shown)
    return [each.value for each in shown]


def least(values: list[str]) -> float:
    """The smallest difference between two colours."""
    return min((difference(one, other) for one, other in combinations(values, 2)), default=100.0)


def change(values: tuple[str, ...], shown: list[str]) -> float:
    """How far the colours are from their own; lightness counts half."""
    return sum(ciede2000(lab(own), lab(each), kl=2) for own, each in zip(values, shown, strict=True))


DESIGNS = [file.design for file in FILES.values()]


@pytest.mark.parametrize("depth", [*DEPTHS, *GREYS])
def test_all_threads_of_shipped_designs_are_far_apart(depth: ColourDepth) -> None:
    for design in DESIGNS:
        shown = design.on_screen(depth)
        threads = [shown.colours[name] for name in design.colours if name in design.family.threads(design.body)]
        values = [thread.value for thread in threads]
        assert not any(thread.pattern for thread in threads)
        assert all(value in depth.choice for value in values if depth.choice)
        # Four greys are all there are of sixteen colours.
        enough = {TRUE_COLOUR: 15.0, ColourDepth(16, True): 14.0}.get(depth, ENOUGH_IN_GREY if depth.greys else 0)
        assert least(values) >= (enough or ENOUGH[depth.colours]), design.title


def test_shipped_designs_keep_their_own_colours_where_every_colour_can_be_shown() -> None:
    for design in DESIGNS:
        assert design.on_screen(TRUE_COLOUR).colours == design.colours


def random_values(random: Random) -> tuple[str, ...]:
    """Two to nine colours: any, some close together, some equal."""
    near = random.choice((0, 4, 30, 256))
    start = [random.randrange(256) for _ in range(3)]
    count = random.choice((2, 2, 2, 3, 3, 3, 4, 4, random.randint(5, 9)))
    return tuple(
        "#" + "".join(f"{min(255, max(0, level + random.randint(-near, near))):02x}" for level in start)
        for _ in range(count)
    )


@pytest.mark.parametrize("part", range(5))
def test_no_two_threads_of_a_random_design_look_the_same(part: int) -> None:
    random = Random(part)
    for _ in range(25):
        values = random_values(random)
        for depth in DEPTHS:
            shown = values_shown(values, depth)
            assert all(value in depth.choice for value in shown if depth.choice)
            # Nine of sixteen colours cannot all be 30 apart.
            assert least(shown) >= (20 if depth.colours == 16 else ENOUGH[depth.colours]), (values, depth)


@pytest.mark.parametrize(
    ("depth", "count"),
    [
        (ColourDepth(16), 17),
        (ColourDepth(16), 70),
        (ColourDepth(256), FEW + 1),
        (TRUE_COLOUR, FEW + 1),
        (TRUE_COLOUR, 300),
        (ColourDepth(16, True), 5),
        (ColourDepth(256, True), MOST_GREYS + 1),
        (ColourDepth(0, True), 35),
    ],
)
def test_threads_that_share_a_colour_have_patterns_of_their_own(depth: ColourDepth, count: int) -> None:
    shown = told_apart(("#0b3c5d",) * count, depth)
    assert len(set(shown)) == count
    assert all(value in depth.choice for value, _ in shown if depth.choice)
    most = MOST_GREYS if depth.greys else 256
    assert max(pattern for _, pattern in shown) == (count - 1) // min(most, len(depth.choice) or most)


def by_trying_all(values: tuple[str, ...], depth: ColourDepth, enough: float) -> float:
    """The smallest change that keeps colours far enough apart, found by trying every choice."""
    offers = [depth.choice] * len(values)
    return min(
        change(values, list(chosen))
        for chosen in product(*offers)
        if len(set(chosen)) == len(chosen) and least(list(chosen)) >= enough
    )


@pytest.mark.parametrize(
    "values",
    [
        ("#0b3c5d", "#f4f1de", "#5b7f3a"),
        ("#102030", "#102031", "#112030"),
        ("#ff0000", "#ee1100", "#dd0011"),
        ("#808080", "#7f7f7f", "#818181"),
    ],
)
def test_no_choice_of_sixteen_colours_changes_less(values: tuple[str, ...]) -> None:
    depth = ColourDepth(16)
    shown = values_shown(values, depth)
    assert change(values, shown) == pytest.approx(by_trying_all(values, depth, ENOUGH[16]))


def test_no_choice_of_greys_changes_less() -> None:
    depth = ColourDepth(256, True)
    for values in (("#e8a33d", "#8fd0e6"), ("#777777", "#787878"), ("#0b3c5d", "#0b3c5d")):
        greys = tuple(grey_of(value) for value in values)
        shown = values_shown(values, depth)
        assert change(greys, shown) == pytest.approx(by_trying_all(greys, depth, ENOUGH_IN_GREY))


def test_a_thread_becomes_lighter_or_darker_rather_than_another_hue() -> None:
    hues = [degrees(atan2(b, a)) for _, a, b in map(lab, values_shown(("#204080",) * 3, TRUE_COLOUR))]
    _, a, b = lab("#204080")
    assert all(abs(hue - degrees(atan2(b, a))) < 3 for hue in hues)


def test_colours_that_are_far_apart_are_only_rounded() -> None:
    values = ("#0b3c5d", "#f4f1de", "#c04040")
    assert values_shown(values, TRUE_COLOUR) == [*values]
    for own, shown in zip(values, values_shown(values, ColourDepth(256)), strict=True):
        assert shown == min(FIXED, key=lambda each: ciede2000(lab(own), lab(each), kl=2))


def test_a_colour_that_no_thread_has_changes_nothing(tmp_path: Path) -> None:
    text = "benchmate: 1\ntitle: T\nfamily: diagonal\ncolours: {a: '#0b3c5d', unused: '#0b3c5d', b: '#f4f1de'}\n"
    file = tmp_path / "t.yaml"
    file.write_text(f"{text}strings: [a, b]\nrows: [f]\n")
    design: Design = load(str(file)).design
    assert design.on_screen(TRUE_COLOUR).colours == design.colours
    assert design.on_screen(ColourDepth(16)).colours["unused"].value in SIXTEEN


def test_the_numbers_of_the_fixed_colours() -> None:
    # The first of each kind, black and white, and the end of the greys.
    assert [number_of(value, 256) for value in ("#000000", "#5f0000", "#005f00", "#00005f", "#ffffff")] == [
        16, 52, 22, 17, 231
    ]  # fmt: skip
    assert (number_of("#080808", 256), number_of("#eeeeee", 256)) == (232, 255)
    assert len(FIXED) == 240
    assert [number_of(value, 16) for value in SIXTEEN] == [*range(16)]


def test_a_grey_is_as_light_as_its_colour() -> None:
    for value in ("#0b3c5d", "#f4f1de", "#c04040", "#000000", "#ffffff", "#808080"):
        grey = grey_of(value)
        assert is_grey(grey)
        assert abs(lab(grey)[0] - lab(value)[0]) < 0.3
        assert nearest(value, ColourDepth(0, True)) == grey


@pytest.mark.parametrize(
    ("environment", "depth"),
    [
        ({"COLORTERM": "truecolor", "TERM": "xterm"}, TRUE_COLOUR),
        ({"COLORTERM": "24bit"}, TRUE_COLOUR),
        ({"TERM": "xterm-256color"}, ColourDepth(256)),
        ({"TERM": "xterm-16color", "COLORTERM": ""}, ColourDepth(16)),
        ({"TERM": "linux"}, ColourDepth(16)),
        ({}, ColourDepth(16)),
        ({"TERM": "dumb"}, None),
    ],
)
def test_what_the_terminal_says(environment: dict[str, str], depth: ColourDepth | None) -> None:
    assert depth_said_by(environment) == depth
