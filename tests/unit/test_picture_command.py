"""The command line of `picture`: the image before or after the colours, and faulty values."""

from pathlib import Path

import pytest
from PIL import Image

from benchmate.design_files.load import parse
from tests.loaded import run
from tests.running import Done

DEEP, FOAM = "deep=#0b3c5d", "foam=ivory"
THREADS = {"deep": "#0b3c5d", "foam": "#fffff0"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with two images, half dark and half light, one with an odd name."""
    image = Image.new("RGB", (40, 40), "ivory")
    image.paste("#0b3c5d", (0, 20, 40, 40))
    for name in ("x.png", "a=b,c=d.png"):
        image.save(tmp_path / name)
    return tmp_path


def picture(folder: Path, *arguments: str) -> Done:
    return run("picture", *arguments, home=folder / "home", cwd=folder)


def assert_charted(done: Done, threads: dict[str, str]) -> None:
    assert done.status == 0, done.err
    design, problems = parse(done.out)
    assert problems == []
    assert design is not None
    assert {name: colour.value for name, colour in design.colours.items()} == threads


@pytest.mark.parametrize(
    "arguments",
    [
        ["--columns", "20", "--colours", DEEP, FOAM, "x.png"],
        ["--colours", DEEP, FOAM, "x.png", "--columns", "20"],
        ["x.png", "--columns", "20", "--colours", DEEP, FOAM],
        ["--columns", "20", "x.png", "--colours", DEEP, FOAM],
        ["--colours", DEEP, FOAM, "--columns", "20", "x.png"],
        ["--columns", "20", "--colours", f"{DEEP},{FOAM}", "x.png"],
        ["--columns", "20", "--colours", f"{DEEP},", FOAM, "x.png"],
        ["--columns", "20", "--colours", DEEP, "--colours", FOAM, "x.png"],
        ["--columns", "20", "--colours", DEEP, "x.png", "--colours", FOAM],
        ["--columns", "20", "--colours", "x.png", DEEP, FOAM],
        ["--columns", "20", "--colours", f"{DEEP},{FOAM},x.png"],
        ["--columns", "20", "--colours", DEEP, FOAM, "--", "x.png"],
        ["--columns", "20", "--colours", DEEP, FOAM, "a=b,c=d.png"],
        ["--columns", "20", "--colours", DEEP, FOAM, "./x.png"],
    ],
    ids=" ".join,
)
def test_the_image_may_come_before_or_after_the_colours(folder: Path, arguments: list[str]) -> None:
    assert_charted(picture(folder, *arguments), THREADS)


@pytest.mark.parametrize("arguments", [["ivory", "navy", "x.png"], ["ivory,navy", "x.png"]], ids=" ".join)
def test_a_css_colour_name_alone_is_enough(folder: Path, arguments: list[str]) -> None:
    assert_charted(picture(folder, "--columns", "20", "--colours", *arguments), {"ivory": "#fffff0", "navy": "#000080"})


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ([DEEP, "none.png"], "--colours: `none.png` must be NAME=COLOUR, such as deep=#0b3c5d, or an image file"),
        ([DEEP, "foam#fff"], "--colours: `foam#fff` must be NAME=COLOUR"),
        ([DEEP, "foam#fff", "x.png"], "--colours: `foam#fff` must be NAME=COLOUR"),
        ([f"{DEEP},foam=glass", "x.png"], "--colours: `glass` is not a CSS colour"),
        (["\x1b[2J", "x.png"], "--colours: `?[2J` must be NAME=COLOUR"),
        ([DEEP, "x.png", "a=b,c=d.png"], "choose one image: `x.png` or `a=b,c=d.png`"),
        ([DEEP, FOAM], "the following arguments are required: IMAGE"),
        (["deep=teal", "deep=red", "x.png"], "--colours: `deep` is given twice"),
    ],
)
def test_values_that_are_neither_an_image_nor_a_colour(folder: Path, arguments: list[str], message: str) -> None:
    done = picture(folder, "--columns", "20", "--colours", *arguments)
    assert (done.status, done.out) == (2, "")
    assert message in done.err
    assert "\x1b" not in done.err


@pytest.mark.parametrize("stray", ["x.png", "none.png", "deep"])
def test_once_the_image_is_given_all_values_must_be_colours(folder: Path, stray: str) -> None:
    done = picture(folder, "x.png", "--columns", "20", "--colours", stray)
    assert (done.status, done.out) == (2, "")
    assert f"--colours: `{stray}` must be NAME=COLOUR, such as deep=#0b3c5d" in done.err


def test_without_an_image(folder: Path) -> None:
    done = picture(folder, "--columns", "20")
    assert (done.status, done.out) == (2, "")
    assert "the following arguments are required: IMAGE" in done.err


def test_a_missing_image(folder: Path) -> None:
    done = picture(folder, "none.png", "--columns", "20", "--colours", DEEP)
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith("none.png: ")
