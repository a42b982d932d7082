"""Colour differences and colour-blind vision against published figures and separate computations."""

import csv
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour_difference import (
    LIGHT,
    MATRICES,
    Kind,
    Lab,
    ciede2000,
    difference,
    encoded,
    lab,
    lab_of,
    levels,
    linear,
    seen_with,
)
from tests.charts import seeded

DATA = Path(__file__).parent / "data"
KINDS: tuple[Kind, ...] = get_args(Kind)


def table(name: str) -> list[dict[str, str]]:
    """The rows of a table; its first line names the source."""
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# ")
    return list(csv.DictReader(lines[1:]))


def pairs() -> list[tuple[Lab, Lab, float]]:
    """Sharma, Wu & Dalal 2005, Table 1."""
    return [
        (
            (float(row["L1"]), float(row["a1"]), float(row["b1"])),
            (float(row["L2"]), float(row["a2"]), float(row["b2"])),
            float(row["dE00"]),
        )
        for row in table("ciede2000_sharma2005.csv")
    ]


values = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
places = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


def test_every_published_pair_is_there() -> None:
    assert len(pairs()) == 34


@pytest.mark.parametrize(("one", "other", "published"), pairs())
def test_published_differences(one: Lab, other: Lab, published: float) -> None:
    assert round(ciede2000(one, other), 4) == published
    assert round(ciede2000(other, one), 4) == published


@pytest.mark.parametrize(("pair", "right", "wrong"), [(10, 7.1792, 7.2195), (14, 4.8045, 4.7461)])
def test_hues_exactly_opposite_take_the_published_side(pair: int, right: float, wrong: float) -> None:
    one, other, _ = pairs()[pair - 1]
    assert round(ciede2000(one, other), 4) == round(ciede2000(other, one), 4) == right
    # A hair further round, the mean hue lies on the other side of the circle.
    further = (other[0], other[1] + (0.0001 if pair == 14 else 0.0), other[2] + (0.0001 if pair == 10 else 0.0))
    assert round(ciede2000(one, further), 4) == wrong


@seeded
@given(one=places, other=places)
def test_the_difference_has_no_direction(one: Lab, other: Lab) -> None:
    there, back = ciede2000(one, other), ciede2000(other, one)
    assert there >= 0
    assert back == pytest.approx(there, rel=1e-9, abs=1e-9)


@seeded
@given(one=places)
def test_a_colour_does_not_differ_from_itself(one: Lab) -> None:
    assert ciede2000(one, one) == 0


@seeded
@given(one=places, lightness=st.floats(0, 100), factor=st.sampled_from([1.0, 2.0, 4.0]))
def test_parametric_factors_divide_their_terms(one: Lab, lightness: float, factor: float) -> None:
    other = (lightness, one[1], one[2])
    assert ciede2000(one, other, kl=factor) == pytest.approx(ciede2000(one, other) / factor)
    assert ciede2000(one, other, kc=factor, kh=factor) == pytest.approx(ciede2000(one, other))


def test_a_grey_has_no_hue_to_differ_in() -> None:
    for grey in ((50.0, 0.0, 0.0), (50.0, -0.0, 0.0), (50.0, -0.0, -0.0)):
        assert ciede2000(grey, (50.0, 20.0, 30.0)) == ciede2000((50.0, 0.0, 0.0), (50.0, 20.0, 30.0))
        assert ciede2000((50.0, 20.0, 30.0), grey) == ciede2000((50.0, 20.0, 30.0), (50.0, 0.0, 0.0))


# CIE 15:2004, 8.2.1, from the primaries and the white that IEC 61966-2-1 states by their chromaticities.
PRIMARIES = np.array([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]])
WHITE = np.array([0.3127, 0.3290])


def lab_from_chromaticities(value: str) -> np.ndarray:
    spread = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in PRIMARIES]).T
    white = np.array([WHITE[0] / WHITE[1], 1.0, (1 - WHITE.sum()) / WHITE[1]])
    matrix = spread * np.linalg.solve(spread, white)
    channels = np.array([int(value[at : at + 2], 16) for at in (1, 3, 5)]) / 255
    light = np.where(channels > 0.04045, ((channels + 0.055) / 1.055) ** 2.4, channels / 12.92)
    share = matrix @ light / white
    x, y, z = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


@seeded
@given(value=values)
def test_lab_from_the_chromaticities_of_the_standard(value: str) -> None:
    assert np.abs(np.array(lab(value)) - lab_from_chromaticities(value)).max() < 0.05
    assert lab(value) == lab_of(*levels(value))


@pytest.mark.parametrize("level", range(0, 256, 5))
def test_greys_have_no_chroma(level: int) -> None:
    lightness, a, b = lab_of(level, level, level)
    assert abs(a) < 1e-9
    assert abs(b) < 1e-9
    assert 0 <= lightness <= 100 + 1e-9


@seeded
@given(one=values, other=values)
def test_differences_of_values_are_those_of_their_places(one: str, other: str) -> None:
    assert difference(one, other) == ciede2000(lab(one), lab(other))
    assert (difference(one, other) == 0) == (one == other)


def test_light_and_levels_are_inverse() -> None:
    assert [round(255 * encoded(light)) for light in LIGHT] == list(range(256))
    assert linear(0.0) == 0
    assert linear(1.0) == 1
    assert list(LIGHT) == sorted(LIGHT)


def matrix(kind: str) -> np.ndarray:
    """The published matrix of a kind, from the table beside this file."""
    rows = [row for row in table("machado2009_severity_1.csv") if row["kind"] == kind]
    return np.array([[float(row[channel]) for channel in ("red", "green", "blue")] for row in rows])


@pytest.mark.parametrize("kind", KINDS)
def test_matrices_are_the_published_ones_and_keep_greys(kind: Kind) -> None:
    assert np.array_equal(np.array(MATRICES[kind]), matrix(kind))
    # To six places, a row of three rounded figures sums to 1.
    assert np.abs(matrix(kind).sum(axis=1) - 1).max() < 2e-6
    for level in range(256):
        assert seen_with(f"#{level:02x}{level:02x}{level:02x}", kind) == f"#{level:02x}{level:02x}{level:02x}"


@pytest.mark.parametrize("kind", KINDS)
@seeded
@given(value=values)
def test_colours_seen_without_some_cones(kind: Kind, value: str) -> None:
    channels = np.array([int(value[at : at + 2], 16) for at in (1, 3, 5)]) / 255
    light = np.where(channels > 0.04045, ((channels + 0.055) / 1.055) ** 2.4, channels / 12.92)
    seen = np.clip(matrix(kind) @ light, 0, 1)
    expected = np.where(seen > 0.0031308, 1.055 * np.power(seen, 1 / 2.4) - 0.055, seen * 12.92) * 255
    assert np.abs(np.array(levels(seen_with(value, kind))) - expected).max() <= 0.5 + 1e-6


def test_red_and_green_differ_less_without_their_cones() -> None:
    red, green = "#c0392b", "#6b7a1e"
    apart = difference(red, green)
    for kind in ("protan", "deutan"):
        assert difference(seen_with(red, kind), seen_with(green, kind)) < apart / 2
    assert difference(seen_with(red, "tritan"), seen_with(green, "tritan")) > apart / 2
