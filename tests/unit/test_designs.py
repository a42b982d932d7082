"""The shipped designs: good files, bands of a wearable length, colours that can be told apart."""

from itertools import combinations
from pathlib import Path

import pytest

from benchmate.craft.colours.colour import contrast
from benchmate.craft.design import Design, work_for
from benchmate.craft.knots import Knot
from benchmate.families.diagonal.body import Diagonal
from tests.shelf import FILES

DIAGONAL = [name for name, file in FILES.items() if file.design.family.name == "diagonal"]

ROW_MM = 1.3
"""Length of a row in six-strand floss, derived from the thickness of the thread."""
BAND_MM = (140, 180)
"""The usual length of a band without its ties, in mm: common practice."""
LEAST_CONTRAST = 1.5
"""Our own minimum contrast ratio between colours, so that a band also shows in grey."""


def band(name: str) -> tuple[Design, Diagonal]:
    """A shipped diagonal design and its rows."""
    design = FILES[name].design
    assert isinstance(design.body, Diagonal)
    return design, design.body


def test_the_shelf_has_every_knot_and_unique_titles() -> None:
    assert len(DIAGONAL) >= 6
    assert sum(file.design.family.name == "steps" for file in FILES.values()) >= 2
    titles = [file.design.title for file in FILES.values()]
    assert len(set(titles)) == len(titles)
    assert {knot for name in DIAGONAL for row in band(name)[1].rows for knot in row.knots} == {*Knot, None}


@pytest.mark.parametrize("name", FILES)
def test_a_file_has_no_warnings(name: str) -> None:
    file = FILES[name]
    assert file.warnings == []
    assert (file.design.author, file.design.licence) == ("the benchmate maintainers", "MIT")


def test_every_start_and_finish_is_shipped() -> None:
    named = {(end, getattr(file.design, end)) for file in FILES.values() for end in ("start", "finish")}
    named = {(end, name) for end, name in named if name is not None}
    assert {end for end, _ in named} == {"start", "finish"}
    assert all(FILES[name].design.family.name == "steps" for _, name in named)
    for file in FILES.values():
        for end in ("start", "finish"):
            found, wanted = getattr(file, end), getattr(file.design, end)
            assert (found and Path(found.path).stem) == wanted


@pytest.mark.parametrize("name", DIAGONAL)
def test_strings_return_to_their_places_after_a_repeat(name: str) -> None:
    design, body = band(name)
    hanging = list(design.strings)
    for row in body.rows:
        for pair, knot in enumerate(row.knots):
            left = row.start - 1 + 2 * pair
            if knot in (Knot.FORWARD, Knot.BACKWARD):
                hanging[left : left + 2] = reversed(hanging[left : left + 2])
    assert tuple(hanging) == design.strings
    assert body.rows[0].start != body.rows[-1].start


@pytest.mark.parametrize("name", DIAGONAL)
def test_band_fits_a_wrist(name: str) -> None:
    design, body = band(name)
    assert BAND_MM[0] <= len(body.rows) * design.repeats * ROW_MM <= BAND_MM[1]


@pytest.mark.parametrize("name", DIAGONAL)
def test_every_string_is_knotted_and_every_colour_shows(name: str) -> None:
    design, _ = band(name)
    work = work_for(design)
    makers = {work.knotting(number) for number in range(work.size)}
    carried = {work.passive(number) for number in range(work.size)}
    assert makers | carried == set(range(1, len(design.strings) + 1))
    assert {design.strings[maker - 1] for maker in makers} == set(design.colours)


@pytest.mark.parametrize("name", DIAGONAL)
def test_colours_contrast_in_lightness(name: str) -> None:
    design, _ = band(name)
    values = [colour.value for colour in design.colours.values()]
    assert len(values) >= 2
    assert all(contrast(one, other) >= LEAST_CONTRAST for one, other in combinations(values, 2))
