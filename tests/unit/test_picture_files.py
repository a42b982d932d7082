"""Pictures from all kinds of files, and the design written from a chart."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from benchmate.design_files.load import parse
from benchmate.families.alpha.body import Alpha
from benchmate.picture.as_design import design_text, knots_by_colour, size_in_words
from benchmate.picture.bad_image import BadImage
from benchmate.picture.charting import MOST_COLOURS, SIGNS, BadChart, Chart, chart_of
from benchmate.picture.image_file import Picture, open_picture
from tests.charts import seeded
from tests.unit.test_picture import BOX, as_image, charts


def held(picture: Picture) -> Image.Image:
    """The image of a picture that is not so large that it is read in strips."""
    assert isinstance(picture.image, Image.Image)
    return picture.image


def test_one_colour_for_every_sign() -> None:
    assert len(set(SIGNS)) == len(SIGNS) == MOST_COLOURS
    assert all(sign.isprintable() and sign.isascii() and sign != " " for sign in SIGNS)
    assert not set(SIGNS) & set("0OoIl1|`',;\"") - {"o"}
    colours = {
        f"c{number}": f"#{number * 4:02x}{255 - number * 4:02x}{number * 29 % 256:02x}"
        for number in range(MOST_COLOURS)
    }
    rows = [list(colours)]
    chart = chart_of(as_image(rows, colours, 49, 38), MOST_COLOURS, colours)
    assert read(design_text(chart, "All")).rows == (tuple(colours),)


def read(text: str) -> Alpha:
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert isinstance(design.body, Alpha)
    return design.body


@seeded
@given(rows=charts(), title=st.text(max_size=30))
def test_reading_the_design_gives_the_chart(rows: list[list[str]], title: str) -> None:
    chart = chart_of(as_image(rows, BOX, 49, 38), len(rows[0]), BOX)
    text = design_text(chart, title)
    body = read(text)
    assert [list(row) for row in body.rows] == rows
    counts = Counter(name for row in rows for name in row)
    assert counts[body.base] == max(counts.values())
    assert knots_by_colour(chart) == counts
    design, _ = parse(text)
    assert design is not None
    assert {name: colour.value for name, colour in design.colours.items()} == {name: BOX[name] for name in counts}
    for name, number in counts.items():
        assert f"{name} {number}" in (design.notes or "")


@pytest.mark.parametrize(
    ("title", "read_as"),
    [
        ("Sun: 'over' #water\n", "Sun: 'over' #water?"),
        ("\x1b[2J\u202e\u2028", "?[2J??"),
        (" ", "Picture"),
        ("\ufffe", "?"),
    ],
)
def test_titles(title: str, read_as: str) -> None:
    design, problems = parse(design_text(Chart({"deep": "#0b3c5d"}, (("deep",),)), title))
    assert problems == []
    assert design is not None
    assert design.title == read_as


def test_an_invalid_colour_name_is_refused() -> None:
    with pytest.raises(BadChart, match="the colour name `off white` must be one word"):
        design_text(Chart({"off white": "#f4f1de"}, (("off white",),)), "T")


@pytest.mark.parametrize(
    ("columns", "rows", "said"),
    [
        (40, 52, "40 columns and 52 rows, 2080 knots: about 98 mm wide and 99 mm long"),
        (60, 84, "60 columns and 84 rows, 5040 knots: about 14.7 cm wide and 16 cm long"),
        (1, 1, "1 column and 1 row, 1 knot: about 2 mm wide and 2 mm long"),
    ],
)
def test_size_in_words(columns: int, rows: int, said: str) -> None:
    assert size_in_words(columns, rows) == said


def saved(image: Image.Image, tmp_path: Path, kind: str, **options: Any) -> Picture:
    file = tmp_path / f"picture.{kind.lower()}"
    image.save(file, kind, **options)
    return open_picture(str(file))


@pytest.mark.parametrize(
    ("kind", "modes"),
    [
        ("PNG", "1 L P I;16 LA RGB RGBA"),
        ("JPEG", "L RGB CMYK"),
        ("GIF", "1 L P RGB RGBA"),
        ("WEBP", "L RGB RGBA"),
        ("BMP", "1 L P RGB RGBA"),
        ("TIFF", "1 L P I;16 LA PA RGB RGBA CMYK"),
        ("PPM", "1 L I;16 RGB RGBA"),
    ],
)
def test_kinds_of_pixels(kind: str, modes: str, tmp_path: Path) -> None:
    image = Image.new("L", (12, 8), 255)
    image.paste(0, (6, 0, 12, 8))
    for mode in modes.split():
        wide = image.convert("I").point(lambda level: level * 257)
        picture = saved(wide.convert("I;16") if mode == "I;16" else image.convert(mode), tmp_path, kind)
        assert held(picture).mode == "RGB"
        assert picture.notes == ()
        with Image.open(tmp_path / f"picture.{kind.lower()}") as again:
            assert again.format == kind
        for channel in held(picture).split():
            levels_behind = channel.tobytes()
            assert levels_behind[2] > 245, mode
            assert levels_behind[9] < 10, mode


def test_sixteen_bits_are_scaled(tmp_path: Path) -> None:
    image = Image.new("I;16", (3, 1))
    for at, level in enumerate((300, 32_896, 65_535)):
        image.putpixel((at, 0), level)
    picture = saved(image, tmp_path, "PNG")
    assert [held(picture).getpixel((at, 0)) for at in range(3)] == [(1, 1, 1), (128, 128, 128), (255, 255, 255)]
    (tmp_path / "wide.ppm").write_bytes(b"P5 2 1 65535\n\x80\x80\xff\xff")
    assert held(open_picture(str(tmp_path / "wide.ppm"))).getpixel((0, 0)) == (128, 128, 128)


@pytest.mark.parametrize("mode", ["F", "I"])
def test_measurements_are_not_colours(mode: str, tmp_path: Path) -> None:
    with pytest.raises(BadImage, match="measurements instead of colours"):
        saved(Image.new(mode, (3, 2), 7), tmp_path, "TIFF")


def test_the_ground_shows_behind_transparent_parts(tmp_path: Path) -> None:
    image = Image.new("RGBA", (3, 1), (200, 0, 0, 255))
    image.putpixel((1, 0), (200, 0, 0, 0))
    image.putpixel((2, 0), (200, 0, 0, 128))
    image.save(tmp_path / "glass.png")
    on_white = held(open_picture(str(tmp_path / "glass.png")))
    assert [on_white.getpixel((at, 0)) for at in (0, 1)] == [(200, 0, 0), (255, 255, 255)]
    on_teal = held(open_picture(str(tmp_path / "glass.png"), "#008080"))
    assert [on_teal.getpixel((at, 0)) for at in range(3)] == [(200, 0, 0), (0, 128, 128), (100, 64, 64)]


def test_a_single_colour_can_be_transparent(tmp_path: Path) -> None:
    image = Image.new("P", (2, 1))
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.putpixel((1, 0), 1)
    for kind in ("PNG", "GIF"):
        flat = held(saved(image, tmp_path, kind, transparency=0))
        assert [flat.getpixel((at, 0)) for at in (0, 1)] == [(255, 255, 255), (200, 100, 50)]
    flat = held(saved(image.convert("RGB"), tmp_path, "PNG", transparency=(10, 20, 30)))
    assert [flat.getpixel((at, 0)) for at in (0, 1)] == [(255, 255, 255), (200, 100, 50)]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_pictures_are_turned_upright(orientation: int, tmp_path: Path) -> None:
    upright = Image.new("RGB", (32, 16), "white")
    upright.paste("#0b3c5d", (0, 0, 16, 8))
    # What a camera stores in this orientation: the tag says which sides of the scene row 0 and column 0 show.
    stored = {
        1: upright,
        2: upright.transpose(Image.Transpose.FLIP_LEFT_RIGHT),
        3: upright.transpose(Image.Transpose.ROTATE_180),
        4: upright.transpose(Image.Transpose.FLIP_TOP_BOTTOM),
        5: upright.transpose(Image.Transpose.TRANSPOSE),
        6: upright.transpose(Image.Transpose.ROTATE_90),
        7: upright.transpose(Image.Transpose.TRANSVERSE),
        8: upright.transpose(Image.Transpose.ROTATE_270),
    }[orientation]
    exif = Image.Exif()
    exif[0x0112] = orientation
    for kind in ("PNG", "WEBP", "TIFF"):
        picture = saved(stored, tmp_path, kind, exif=exif, lossless=True)
        assert picture.image.size == (32, 16)
        assert held(picture).tobytes() == upright.tobytes()


def test_a_stereo_file_gives_its_first_picture(tmp_path: Path) -> None:
    left, right = Image.new("RGB", (16, 16), "teal"), Image.new("RGB", (16, 16), "red")
    left.save(tmp_path / "both.jpg", "MPO", save_all=True, append_images=[right])
    picture = open_picture(str(tmp_path / "both.jpg"))
    assert len(picture.notes) == 1
    assert list(chart_of(picture.image, 2, {"teal": "#008080", "red": "#ff0000"}).colours) == ["teal"]
