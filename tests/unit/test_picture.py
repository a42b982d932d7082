"""Pictures as charts: proportions, threads, edges, lines and limits."""

import os
import subprocess
import sys
from io import BytesIO
from math import hypot
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from benchmate.craft.colours.colour_difference import LIGHT, ciede2000, difference, lab, lab_of, levels
from benchmate.craft.design import MOST_STEPS
from benchmate.craft.thread.gauge import FLOSS
from benchmate.files.css import named_colours
from benchmate.picture.as_design import knots_by_colour
from benchmate.picture.charting import MOST_COLOURS, BadChart, chart_of, rows_of, tidied
from benchmate.picture.found_colours import LEAST_DIFFERENCE, found_colours
from benchmate.picture.sampling import SPOTS, colour_counts, levels_of, rows_for, sampled
from benchmate.picture.threads import Threads
from benchmate.picture.voting import LINE, around
from tests.charts import seeded

fewer = settings(seeded, max_examples=40)
"""Every example is a whole picture."""
ROOT = Path(__file__).resolve().parents[2]
INK = {"ink": "#1d2b3a", "paper": "#f4f1de"}
BOX = {
    **INK,
    **{
        "moss": "#5b7a3a",
        "brick": "#a5402d",
        "honey": "#e9b44c",
        "sky": "#7fb2d8",
        "plum": "#5a2a5a",
        "rose": "#e6a0a8",
    },
}

# Sizes of a knot in pixels: the first in its true proportions, 2.45 to 1.9, the others off by less than one in fifty.
KNOTS_IN_PIXELS = [(49, 38), (9, 7), (13, 10), (18, 14)]


def as_image(rows: list[list[str]], colours: dict[str, str], across: int, down: int) -> Image.Image:
    """A chart as an image with `across` by `down` pixels for each knot."""
    image = Image.new("RGB", (across * len(rows[0]), down * len(rows)))
    for y, row in enumerate(rows):
        for x, name in enumerate(row):
            image.paste(colours[name], (x * across, y * down, (x + 1) * across, (y + 1) * down))
    return image


def drawn(size: tuple[int, int], ground: str, *shapes: tuple[str, str, tuple[int, ...]], finer: int = 4) -> Image.Image:
    """An image with smooth edges: shapes, given by kind, colour and coordinates, on a ground."""
    large = Image.new("RGB", (size[0] * finer, size[1] * finer), ground)
    pen = ImageDraw.Draw(large)
    for kind, colour, box in shapes:
        scaled = [at * finer for at in box]
        if kind == "line":
            pen.line(scaled[:4], fill=colour, width=scaled[4])
        else:
            getattr(pen, kind)(scaled, fill=colour)
    return large.resize(size, Image.Resampling.BOX)


@st.composite
def charts(draw: st.DrawFn) -> list[list[str]]:
    """Rows of colour names, from a few colours."""
    names = draw(st.lists(st.sampled_from(sorted(BOX)), min_size=1, max_size=5, unique=True))
    columns, rows = draw(st.integers(1, 9)), draw(st.integers(1, 9))
    return [[draw(st.sampled_from(names)) for _ in range(columns)] for _ in range(rows)]


@fewer
@given(rows=charts(), pixels=st.sampled_from(KNOTS_IN_PIXELS), given_colours=st.booleans())
def test_an_image_of_a_chart_gives_the_same_chart(
    rows: list[list[str]], pixels: tuple[int, int], given_colours: bool
) -> None:
    used = {name for row in rows for name in row}
    chart = chart_of(as_image(rows, BOX, *pixels), len(rows[0]), BOX if given_colours else None, count=5)
    assert [[chart.colours[name] for name in row] for row in chart.rows] == [
        [BOX[name] for name in row] for row in rows
    ]
    assert set(chart.colours.values()) == {BOX[name] for name in used}
    if given_colours:
        assert set(chart.colours) == used


@fewer
@given(rows=charts())
def test_dithering_changes_nothing_where_a_thread_matches_exactly(rows: list[list[str]]) -> None:
    chart = chart_of(as_image(rows, BOX, 49, 38), len(rows[0]), BOX, dither=True)
    assert [list(row) for row in chart.rows] == rows


@pytest.mark.parametrize("columns", [8, 13, 20, 21, 40, 60, 95])
@pytest.mark.parametrize("off", [0, 7])
def test_a_circle_stays_a_circle(columns: int, off: int) -> None:
    width, height, radius = 900, 700, 260
    middle = (450 + off, 350 - off)
    box = (middle[0] - radius, middle[1] - radius, middle[0] + radius, middle[1] + radius)
    chart = chart_of(drawn((width, height), INK["paper"], ("ellipse", INK["ink"], box)), columns, INK)
    rows = len(chart.rows)
    # All in mm on the band.
    scale = columns * FLOSS.wide_mm / width
    assert abs(rows * FLOSS.base_mm - height * scale) <= FLOSS.base_mm / 2
    across, down = middle[0] * scale, middle[1] * rows * FLOSS.base_mm / height
    half = FLOSS.base_mm / 2
    for y, row in enumerate(chart.rows):
        for x, name in enumerate(row):
            away = hypot((x + 0.5) * FLOSS.wide_mm - across, (y + 0.5) * FLOSS.base_mm - down) - radius * scale
            if abs(away) > half:
                assert name == ("ink" if away < 0 else "paper"), (x, y)
    wide = sum("ink" in column for column in zip(*chart.rows, strict=True)) * FLOSS.wide_mm
    long = sum("ink" in row for row in chart.rows) * FLOSS.base_mm
    # Half a knot on each side, and a little for the curve within it.
    assert abs(wide - 2 * radius * scale) <= 1.25 * FLOSS.wide_mm
    assert abs(long - 2 * radius * scale) <= 1.25 * FLOSS.wide_mm


@pytest.mark.parametrize(
    ("width", "height", "columns", "rows"), [(100, 100, 38, 49), (200, 100, 40, 26), (3, 90, 4, 155)]
)
def test_rows_keep_the_proportions(width: int, height: int, columns: int, rows: int) -> None:
    assert rows_for(columns, width, height) == rows
    assert len(chart_of(Image.new("RGB", (width, height)), columns).rows) == rows


@st.composite
def patchworks(draw: st.DrawFn) -> Image.Image:
    """Overlapping flat rectangles in the box's colours, with edges anywhere."""
    image = Image.new("RGB", (draw(st.integers(60, 200)), draw(st.integers(60, 200))), BOX["paper"])
    for _ in range(draw(st.integers(0, 5))):
        left, top = draw(st.integers(0, image.width - 1)), draw(st.integers(0, image.height - 1))
        right, bottom = draw(st.integers(left + 1, image.width)), draw(st.integers(top + 1, image.height))
        image.paste(draw(st.sampled_from(sorted(BOX.values()))), (left, top, right, bottom))
    return image


@fewer
@given(image=patchworks(), columns=st.integers(1, 14))
def test_flat_colours_are_exact(image: Image.Image, columns: int) -> None:
    chart = chart_of(image, columns, BOX)
    rows = len(chart.rows)
    for y, row in enumerate(chart.rows):
        for x, name in enumerate(row):
            left, right = x * image.width / columns, (x + 1) * image.width / columns
            top, bottom = y * image.height / rows, (y + 1) * image.height / rows
            # All pixels that are at least partly in the knot.
            behind = image.crop((int(left), int(top), -int(-right // 1), -int(-bottom // 1)))
            seen = {colour for _, colour in behind.getcolors() or []}
            assert levels(chart.colours[name]) in seen if len(seen) < 3 else True
            if len(seen) == 1:
                assert seen == {levels(chart.colours[name])}
    assert set(chart.colours) == {name for row in chart.rows for name in row}
    counts = list(knots_by_colour(chart).values())
    assert counts == sorted(counts, reverse=True)
    assert sum(counts) == columns * rows


def test_a_knot_on_an_edge_takes_one_of_the_two_colours() -> None:
    # The box has a pink that lies between red and white.
    box = {"red": "#c1121f", "pink": "#e89aa0", "white": "#ffffff"}
    for left in range(100, 120):
        chart = chart_of(drawn((240, 200), "#ffffff", ("rectangle", "#c1121f", (0, 0, left, 200))), 12, box)
        assert set(chart.colours) == {"red", "white"}
        for row in chart.rows:
            assert row == ("red",) * row.count("red") + ("white",) * row.count("white")
            assert abs(row.count("red") - left / 20) <= 0.55


def test_detail_too_fine_for_knots_takes_the_mean_light() -> None:
    image = Image.new("L", (240, 190))
    image.putdata([255 * ((x + y) % 2) for y in range(190) for x in range(240)])
    # Half the light of white is a light grey, far from half of its levels.
    half = {"black": "#000000", "half of levels": "#808080", "half of light": "#bcbcbc", "white": "#ffffff"}
    assert list(chart_of(image.convert("RGB"), 12, half).colours) == ["half of light"]
    # Coarser, so each spot is black or white, but still finer than the knots.
    coarse = Image.new("L", (96, 74))
    coarse.putdata([255 * ((x + y) % 2) for y in range(74) for x in range(96)])
    assert list(chart_of(coarse.convert("RGB"), 12, half).colours) == ["half of light"]


@pytest.mark.parametrize("place", range(200, 221, 2))
def test_a_line_is_unbroken_in_any_position(place: int) -> None:
    # A knot is 20 pixels wide and the line 11, so it may cover less than half of each knot.
    image = drawn((400, 400), INK["paper"], ("line", INK["ink"], (place, 40, place, 360, 11)))
    chart = chart_of(image, 20, INK)
    held = [row.count("ink") for row in chart.rows]
    inside = held[5:-5]
    assert set(inside) == {1}
    assert len({row.index("ink") for row in chart.rows[5:-5]}) == 1
    assert sum(held[:2] + held[-2:]) == 0


@pytest.mark.parametrize("rise", [0, 60, 150, 240])
def test_a_sloping_line_has_no_gaps(rise: int) -> None:
    image = drawn((400, 400), INK["paper"], ("line", INK["ink"], (40, 80, 360, 80 + rise, 11)))
    chart = chart_of(image, 20, INK)
    knots = {(y, x) for y, row in enumerate(chart.rows) for x, name in enumerate(row) if name == "ink"}
    assert {x for _, x in knots} >= set(range(3, 17))
    reached: set[tuple[int, int]] = set()
    ahead = [min(knots, key=lambda knot: knot[1])]
    while ahead:
        y, x = ahead.pop()
        if (y, x) in knots - reached:
            reached.add((y, x))
            ahead += [(y + down, x + over) for down in (-1, 0, 1) for over in (-1, 0, 1)]
    assert reached == knots


def test_hairlines_and_dots_are_not_lines() -> None:
    hair = drawn((400, 400), INK["paper"], ("line", INK["ink"], (210, 40, 210, 360, int(20 * LINE) - 3)))
    assert set(chart_of(hair, 20, INK).colours) == {"paper"}
    dot = drawn((400, 400), INK["paper"], ("ellipse", INK["ink"], (203, 203, 217, 215)))
    assert set(chart_of(dot, 20, INK).colours) == {"paper"}


def test_an_outline_between_two_colours_is_unbroken() -> None:
    image = drawn(
        (400, 400),
        BOX["sky"],
        ("rectangle", BOX["honey"], (0, 0, 210, 400)),
        ("line", BOX["ink"], (210, 0, 210, 400, 9)),
    )
    chart = chart_of(image, 20, BOX)
    assert all(row.count("ink") == 1 for row in chart.rows)


def softly(image: Image.Image, one: str, other: str, left: int, right: int) -> None:
    """Blend one colour into the other from `left` to `right`, evenly in light."""
    ends = [[LIGHT[level] for level in levels(value)] for value in (one, other)]
    for x in range(left, right):
        share = (x + 0.5 - left) / (right - left)
        blend = tuple(levels_of((1 - share) * start + share * end) for start, end in zip(*ends, strict=True))
        image.paste(blend, (x, 0, x + 1, image.height))


def test_a_soft_edge_has_no_fringe() -> None:
    # Ink blends into paper over 36 pixels; the 20-pixel knot between is nearest to rosewood, which is not in the image.
    threads = {**INK, "rosewood": "#b09a90"}
    image = Image.new("RGB", (400, 300), INK["paper"])
    image.paste(INK["ink"], (0, 0, 200, 300))
    softly(image, INK["ink"], INK["paper"], 192, 228)
    cut = sampled(image, 20, rows_for(20, 400, 300))
    assert threads["rosewood"] == min(threads.values(), key=lambda value: ciede2000(lab_of(*cut.mean(10)), lab(value)))
    assert set(chart_of(image, 20, threads).colours) == {"ink", "paper"}
    # When rosewood is in the image, it stays.
    image.paste(threads["rosewood"], (200, 0, 220, 300))
    assert [row.index("rosewood") for row in chart_of(image, 20, threads).rows] == [10] * cut.rows


def test_a_soft_edge_is_not_a_line() -> None:
    # Half of each knot at the edge is nearest to the grey between ink and paper.
    threads = {**INK, "grey": "#8f918c"}
    image = Image.new("RGB", (400, 300), INK["paper"])
    image.paste(INK["ink"], (0, 0, 200, 300))
    softly(image, INK["ink"], INK["paper"], 190, 214)
    cut = sampled(image, 20, rows_for(20, 400, 300))
    box = Threads(threads)
    _, across = colour_counts(cut.spots.crop((9 * SPOTS, 0, 11 * SPOTS, 1)), 64)
    assert sum(number for number, colour in across if box.nearest(colour) == 2) >= LINE * SPOTS
    assert set(chart_of(image, 20, threads).colours) == {"ink", "paper"}
    # The same amount of grey on plain paper is a line.
    image.paste(INK["paper"], (0, 0, 400, 300))
    image.paste(threads["grey"], (195, 0, 206, 300))
    assert set(chart_of(image, 20, threads).colours) == {"grey", "paper"}


@st.composite
def knots(draw: st.DrawFn) -> tuple[int, list[int]]:
    columns, rows = draw(st.integers(1, 8)), draw(st.integers(1, 8))
    return columns, draw(st.lists(st.integers(0, 4), min_size=columns * rows, max_size=columns * rows))


@fewer
@given(made=knots())
def test_tidying_changes_only_single_knots(made: tuple[int, list[int]]) -> None:
    columns, before = made
    threads = Threads(BOX)
    after = tidied(before, columns, threads)

    def near(knot: int) -> list[int]:
        return around(knot, columns, len(before))

    for knot, own in enumerate(before):
        company = any(before[other] == own for other in near(knot))
        if company or not near(knot):
            assert after[knot] == own
        else:
            assert after[knot] in [after[other] for other in near(knot)]
    assert tidied(after, columns, threads) == after


def test_a_single_knot_takes_the_commonest_colour_around_it() -> None:
    rows = [["paper"] * 6 for _ in range(6)]
    rows[2][3] = "ink"
    rows[5][0] = rows[4][1] = "ink"
    image = as_image(rows, INK, 49, 38)
    assert knots_by_colour(chart_of(image, 6, INK))["ink"] == 3
    tidy = chart_of(image, 6, INK, tidy=True)
    assert tidy.rows[2][3] == "paper"
    assert tidy.rows[5][0] == tidy.rows[4][1] == "ink"


def test_dithering_keeps_the_mean_light() -> None:
    ramp = Image.linear_gradient("L").resize((256, 320)).convert("RGB")
    grey = {"black": "#000000", "white": "#ffffff"}
    chart = chart_of(ramp, 60, grey, dither=True)
    for first in range(0, len(chart.rows) - 12, 12):
        part = [name for row in chart.rows[first : first + 12] for name in row]
        share = first / len(chart.rows), (first + 12) / len(chart.rows)
        bright = [LIGHT[level] for level in range(round(255 * share[0]), round(255 * share[1]) + 1)]
        assert part.count("white") / len(part) == pytest.approx(sum(bright) / len(bright), abs=0.03)
    plain = chart_of(ramp, 60, grey)
    assert all(len(set(row)) == 1 for row in plain.rows)


def test_the_nearest_thread_is_chosen_by_ciede2000() -> None:
    image = Image.new("RGB", (49 * 6, 38 * 6))
    colours = [((37 * number) % 256, (91 * number) % 256, (151 * number) % 256) for number in range(36)]
    for number, colour in enumerate(colours):
        image.paste(colour, (number % 6 * 49, number // 6 * 38, number % 6 * 49 + 49, number // 6 * 38 + 38))
    chart = chart_of(image, 6, BOX, dither=False)
    values = [
        difference("#{:02x}{:02x}{:02x}".format(*colour), BOX[name])
        for colour, name in zip(colours, (n for row in chart.rows for n in row), strict=True)
    ]
    least = [
        min(difference("#{:02x}{:02x}{:02x}".format(*colour), value) for value in BOX.values()) for colour in colours
    ]
    assert values == least


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_flat_picture_gives_its_own_colours(kind: str) -> None:
    image = drawn(
        (800, 1000),
        BOX["paper"],
        ("ellipse", BOX["moss"], (150, 200, 650, 800)),
        ("rectangle", BOX["brick"], (380, 780, 420, 980)),
    )
    out = BytesIO()
    image.save(out, kind, quality=90)
    found = found_colours(Image.open(BytesIO(out.getvalue())).convert("RGB"), 6)
    assert len(found) == 3
    for value, own in zip(found.values(), ("paper", "moss", "brick"), strict=True):
        # Our own bounds in CIEDE2000: as good as none, and what a lossy file may cost.
        assert difference(value, BOX[own]) < (0.01 if kind == "PNG" else 2)


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8, 20])
def test_a_gradient_gives_a_few_distinct_colours(count: int) -> None:
    ramp = Image.linear_gradient("L").resize((300, 300))
    image = Image.merge("RGB", [ramp, ramp.transpose(Image.Transpose.ROTATE_90), Image.new("L", ramp.size, 80)])
    found = found_colours(image, count)
    assert 1 <= len(found) <= count
    assert len(found) == count or count == 20
    values = list(found.values())
    for at, value in enumerate(values):
        # The centres are distinct; the picture's colour nearest to a centre may differ by a shade (our own bound).
        assert all(difference(value, other) > LEAST_DIFFERENCE - 1 for other in values[:at])


def test_found_colours_have_plain_and_unique_names() -> None:
    rows = [["a", "b"], ["c", "d"]]
    shades = {"a": "#4682b4", "b": "#5090c2", "c": "#3c76a6", "d": "#808080"}
    found = found_colours(as_image(rows, shades, 49, 38), 4)
    assert set(found.values()) == set(shades.values())
    assert "grey" in found
    for name in found:
        plain, _, number = name.partition("-")
        assert plain in named_colours()
        assert "gray" not in name
        assert number == "" or number.isdigit()
    assert {name.partition("-")[0] for name in found} == {"grey", "steelblue"}


def test_the_same_picture_always_gives_the_same_chart(tmp_path: Path) -> None:
    image = Image.merge(
        "RGB", [Image.effect_mandelbrot((200, 150), (-2, -1, 1, 1), quality) for quality in (20, 40, 80)]
    )
    image.save(tmp_path / "set.png")
    program = f"""
from benchmate.picture.charting import chart_of
from benchmate.picture.as_design import design_text
from benchmate.picture.image_file import open_picture
image = open_picture({str(tmp_path / "set.png")!r}).image
print(design_text(chart_of(image, 30, count=6), "Set"), design_text(chart_of(image, 30, dither=True, tidy=True), "Set"))
"""
    texts = {
        subprocess.run(
            [sys.executable, "-c", program],
            check=True,
            cwd=ROOT,
            capture_output=True,
            env={"PYTHONHASHSEED": seed, "PATH": os.environ["PATH"]},
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(texts) == 1


@pytest.mark.parametrize(
    ("columns", "size", "said"),
    [
        (0, (10, 10), "the number of columns must be a whole number from 1 to 500, such as 24 (found 0)"),
        (501, (10, 10), "the number of columns must be a whole number from 1 to 500, such as 24 (found 501)"),
        (500, (10, 10), "500 columns by 645 rows is 322500 knots; the limit is 200000: use at most 393 columns"),
        (500, (1, 100), "500 columns by 64474 rows is 32237000 knots; the limit is 200000: use at most 39 columns"),
    ],
)
def test_limits_of_size(columns: int, size: tuple[int, int], said: str) -> None:
    for ask in (rows_of, chart_of):
        with pytest.raises(BadChart) as caught:
            ask(Image.new("RGB", size), columns)
        assert str(caught.value) == said


def test_the_suggested_columns_fit() -> None:
    image = Image.new("RGB", (10, 10))
    assert 393 * rows_of(image, 393) <= MOST_STEPS
    with pytest.raises(BadChart):
        rows_of(image, 394)


@pytest.mark.parametrize("count", [0, MOST_COLOURS + 1])
def test_limits_of_colours(count: int) -> None:
    image = Image.new("RGB", (10, 10))
    said = f"the number of colours must be a whole number from 1 to {MOST_COLOURS}, such as 4 (found {count})"
    for colours in ({f"c{number}": "#000000" for number in range(count)}, None):
        with pytest.raises(BadChart) as caught:
            chart_of(image, 5, colours, count=count)
        assert str(caught.value) == said


def test_levels_of_light() -> None:
    assert [levels_of(light) for light in LIGHT] == list(range(256))
    assert (levels_of(-0.1), levels_of(1.1)) == (0, 255)
    # Half the light of white, calculated by hand from the curve of IEC 61966-2-1.
    assert levels_of(0.5) == 188


@fewer
@given(width=st.integers(1, 30), height=st.integers(1, 30), columns=st.integers(1, 3), seed=st.integers(0, 999))
def test_means_match_the_light_in_each_knot(width: int, height: int, columns: int, seed: int) -> None:
    image = Image.new("RGB", (width, height))
    image.putdata(
        [
            ((x * 7 + seed) % 256, (y * 11 + seed * 3) % 256, (x * y + seed) % 256)
            for y in range(height)
            for x in range(width)
        ]
    )
    rows = rows_for(columns, width, height)
    cut = sampled(image, columns, rows)
    assert cut.spots.size == (columns * SPOTS, rows * SPOTS)

    def pixels(knot: int, knots: int, side: int) -> list[int]:
        """The pixels of a knot along one side: each once, or once for every spot in it."""
        if side >= knots * SPOTS:
            return [pixel for pixel in range(side) if knot * side < (pixel + 0.5) * knots <= (knot + 1) * side]
        return [int((knot * SPOTS + spot + 0.5) * side / (knots * SPOTS)) for spot in range(SPOTS)]

    for number, channel in enumerate(image.split()):
        light = [LIGHT[level] for level in channel.tobytes()]
        for y in range(rows):
            for x in range(columns):
                behind = [
                    light[down * width + across]
                    for down in pixels(y, rows, height)
                    for across in pixels(x, columns, width)
                ]
                assert cut.means[number][y * columns + x] == pytest.approx(sum(behind) / len(behind), abs=1e-5)
