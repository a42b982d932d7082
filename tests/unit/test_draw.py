"""Drawings of the finished band: the layout, and its three forms, SVG, PNG and terminal, which must agree with it."""

import re
from collections import Counter
from io import BytesIO
from itertools import combinations, pairwise
from unicodedata import category
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from benchmate.craft.colours.colour import Colour
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR
from benchmate.craft.design import Design
from benchmate.craft.drawing import MOST_LONG, TAIL, CannotDraw, KnotShape
from benchmate.craft.family import AnyFamily
from benchmate.craft.knots import MIRRORED, Knot
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.ways import mirrored
from benchmate.display.cells import cells_of
from benchmate.draw.cell_image import in_colour
from benchmate.draw.description import description
from benchmate.draw.in_terminal import in_terminal
from benchmate.draw.layout import lay_out
from benchmate.draw.raster import MOST_ACROSS, MOST_PIXELS, PER_MM, png, scale_of
from benchmate.draw.shapes import crease, gleam, outline_of, shade, shape_of, smooth
from benchmate.draw.vector import svg
from benchmate.families.alpha.body import Alpha, alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.braid.body import Braid
from benchmate.families.braid.drawing import MOVE_HIGH, SLOT_WIDE
from benchmate.families.braid.family import BRAID
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.drawing import PITCH
from benchmate.families.diagonal.family import DIAGONAL
from tests.charts import bodies, chart, design, full, seeded, tie_by_hand, trace, written

NAMES = "abcdef"
COLOURS = {name: Colour(name, f"#{at:02x}4{at}{9 - at}0", name) for at, name in enumerate(NAMES)}
NEAR = 1e-9
FOUR = chart("a b c d", "f b", "f", "fb bf", "b")
ROPE = Braid(
    32,
    ((1, "a"), (8, "b"), (9, "b"), (16, "a"), (17, "a"), (24, "b"), (25, "b"), (32, "a")),
    ((1, 15), (17, 31), (9, 23), (25, 7)),
    -1,
)


STRING_MM, ROW_MM, KNOT_MM, ALPHA_ROW_MM = 1.225, 1.3, 2.45, 1.9
"""In a diagonal band, the width of a string (half a knot) and the length of a row; in an alpha band, the width of a
knot and the height of a row. Derived from the thickness of six-strand floss, not measured."""


def of(body: Diagonal | Alpha | Braid, repeats: int = 1, title: str = "Trial") -> Design:
    families: dict[type, AnyFamily] = {Diagonal: DIAGONAL, Alpha: ALPHA, Braid: BRAID}
    family = families[type(body)]
    return Design(title, family, COLOURS, body, repeats=repeats)


@st.composite
def pictures(draw: st.DrawFn) -> Alpha:
    """Alpha bands of up to six columns, starting from either side."""
    columns = draw(st.integers(1, 6))
    row_of = st.tuples(*[st.sampled_from(NAMES)] * columns)
    return alpha("a", tuple(draw(st.lists(row_of, min_size=1, max_size=6))), draw(st.sampled_from(("left", "right"))))


@st.composite
def braids(draw: st.DrawFn) -> Braid:
    """Braids of up to twelve slots, with moves that can be made once."""
    slots = draw(st.integers(3, 12))
    filled = sorted(draw(st.sets(st.integers(1, slots), min_size=1, max_size=slots - 1)))
    strands = tuple((slot, draw(st.sampled_from(NAMES))) for slot in filled)
    moves, lies = [], set(filled)
    for _ in range(draw(st.integers(1, 8))):
        source = draw(st.sampled_from(sorted(lies)))
        target = draw(st.sampled_from(sorted(set(range(1, slots + 1)) - lies)))
        moves.append((source, target))
        lies = (lies - {source}) | {target}
    return Braid(slots, strands, tuple(moves))


def levels_of(body: Diagonal, repeats: int = 1) -> list[int]:
    """How deep each row lies, from row 1 (row 0 is a filler): half a knot below the last row, or a whole one if their
    starts are equal."""
    levels, starts = [0, 1], [each.start for each in body.rows * repeats]
    for before, start in pairwise(starts):
        levels.append(levels[-1] + 1 + (start % 2 == before % 2))
    return levels


@seeded
@given(bodies(), st.integers(1, 3))
def test_every_knot_of_a_diagonal_band_is_drawn_once_in_its_place(body: Diagonal, repeats: int) -> None:
    layout = lay_out(of(body), repeats)
    assert [(each.row, each.place, each.knot.value, each.colour) for each in layout.knots] == [
        (each.row, each.left, each.token, body.strings[each.knotting - 1]) for each in trace(body, repeats)
    ]
    level = levels_of(body, repeats)
    for each in layout.knots:
        assert (each.x, each.y) == pytest.approx((each.place * PITCH, (level[each.row] - 0.5) * FLOSS.row_mm))
    assert (layout.wide, layout.long) == pytest.approx((len(body.strings) * STRING_MM, level[-1] * ROW_MM))


@seeded
@given(bodies())
def test_neighbouring_knots_share_an_edge_and_none_overlap(body: Diagonal) -> None:
    knots = lay_out(of(body)).knots
    corners = [{(round(each.x + x, 6), round(each.y + y, 6)) for x, y in outline_of("diamond")} for each in knots]
    for (one, ones), (other, others) in combinations(zip(knots, corners, strict=True), 2):
        across, down = abs(one.x - other.x), abs(one.y - other.y)
        assert across / FLOSS.wide_mm + down / (2 * FLOSS.row_mm) >= 1 - NEAR
        beside = across == pytest.approx(PITCH) and down == pytest.approx(FLOSS.row_mm)
        assert len(ones & others) == 2 if beside else len(ones & others) < 2


@seeded
@given(bodies())
def test_strings_hang_from_both_ends_and_show_where_they_wait(body: Diagonal) -> None:
    layout = lay_out(of(body))
    hanging = list(range(1, len(body.strings) + 1))
    taken = {(each.row, place) for each in layout.knots for place in (each.place, each.place + 1)}
    waits = []
    for number, each in enumerate(body.rows, 1):
        for at, knot in enumerate(each.knots):
            if knot is not None:
                tie_by_hand(hanging, each.start + 2 * at, knot.value)
        waits += [
            (number, place, body.strings[string - 1])
            for place, string in enumerate(hanging, 1)
            if (number, place) not in taken
        ]
    assert [(each.row, each.place, each.colour) for each in layout.waits] == waits
    assert layout.last == tuple(body.strings[string - 1] for string in hanging)
    drawn = Counter((point, each.colour) for each in layout.strands for point in each.way)
    level = levels_of(body)
    for number, place, colour in waits:
        assert drawn[((place - 0.5) * PITCH, (level[number] - 0.5) * FLOSS.row_mm), colour] == 1
    for y, colours in ((-TAIL, layout.first), (layout.long + TAIL, layout.last)):
        for place, name in enumerate(colours, 1):
            assert name is not None
            assert drawn[((place - 0.5) * PITCH, y), name] == 1


@seeded
@given(bodies())
def test_a_mirrored_design_has_the_mirrored_drawing(body: Diagonal) -> None:
    one, other = lay_out(of(body)), lay_out(mirrored(of(body)))
    assert {
        (round(one.wide - each.x, 6), round(each.y, 6), MIRRORED[each.knot], each.colour) for each in one.knots
    } == {(round(each.x, 6), round(each.y, 6), each.knot, each.colour) for each in other.knots}
    ways = [
        Counter(
            (each.colour, tuple((round(layout.wide - x if turn else x, 6), round(y, 6)) for x, y in each.way))
            for each in layout.strands
        )
        for layout, turn in ((one, True), (other, False))
    ]
    assert ways[0] == ways[1]
    # With an odd number of strings, the middle one hangs in one of two squares.
    for across, down in ((2, 2), (1, 1))[len(body.strings) % 2 :]:
        lines = in_colour(one, across, down, 80, one.ground(), shaded=True).lines
        assert [line[::-1] for line in lines] == in_colour(other, across, down, 80, other.ground(), shaded=True).lines


@pytest.mark.parametrize("within", ["diamond", "rectangle"])
@pytest.mark.parametrize("knot", Knot)
def test_shapes_stay_in_their_outline_and_lean_to_their_sides(knot: Knot, within: KnotShape) -> None:
    if within == "rectangle" and not knot.swaps:
        return
    shape = shape_of(knot, within)
    assert shape.outline == outline_of(within)
    high = FLOSS.row_mm if within == "diamond" else FLOSS.base_mm / 2
    for polygon in (*shape.halves, *shape.gleams, *([shape.back] if shape.back else [])):
        for x, y in polygon:
            if within == "diamond":
                assert abs(x) / (FLOSS.wide_mm / 2) + abs(y) / high <= 1 + NEAR
            else:
                assert abs(x) <= FLOSS.wide_mm / 2 + NEAR
                assert abs(y) <= high + NEAR
    for half, side in zip(shape.halves, knot.halves, strict=True):
        middle_x, middle_y = (sum(axis) / len(half) for axis in zip(*half, strict=True))
        tilt = sum((x - middle_x) * (y - middle_y) for x, y in half)
        assert (tilt > 0) == (side == "right")
    facing = MIRRORED[knot]
    assert facing is not None
    for one, other in zip(shape.halves, shape_of(facing, within).halves, strict=True):
        assert sorted((round(-x, 6), round(y, 6)) for x, y in one) == sorted(
            (round(x, 6), round(y, 6)) for x, y in other
        )


def test_the_four_knots_look_different() -> None:
    assert len({shape_of(knot, "diamond").halves for knot in Knot}) == 4


@seeded
@given(pictures(), st.integers(1, 3))
def test_an_alpha_band_matches_its_chart(body: Alpha, repeats: int) -> None:
    layout = lay_out(of(body), repeats)
    rows = body.rows * repeats
    assert {(each.row, each.place): each.colour for each in layout.knots} == {
        (number, column): name for number, each in enumerate(rows, 1) for column, name in enumerate(each, 1)
    }
    assert len(layout.knots) == len(rows) * body.columns
    for each in layout.knots:
        assert (each.x, each.y) == pytest.approx(((each.place - 0.5) * KNOT_MM, (each.row - 0.5) * ALPHA_ROW_MM))
        assert each.knot is (Knot.FORWARD if (body.first == "left") == (each.row % 2 == 1) else Knot.BACKWARD)
    turns = [each for each in layout.strands if len(each.way) == 4]
    to_the_right = [(body.first == "left") == (number % 2 == 0) for number in range(len(rows))]
    ends = [
        (above[-1], below[-1]) if right else (above[0], below[0])
        for above, below, right in zip(rows[:-1], rows[1:], to_the_right[:-1], strict=True)
    ]
    assert [each.colour for each in turns] == [above for above, below in ends if above == below]
    sides = [right for (above, below), right in zip(ends, to_the_right, strict=False) if above == below]
    for turn, right in zip(turns, sides, strict=True):
        assert max(x for x, _ in turn.way) > layout.wide if right else min(x for x, _ in turn.way) < 0


@seeded
@given(braids())
def test_every_braid_move_crosses_from_its_source_to_its_target(body: Braid) -> None:
    layout = lay_out(of(body))
    lies = dict(body.strands)
    for number, ((source, target), each) in enumerate(zip(body.moves, layout.crosses, strict=True), 1):
        colour = lies.pop(source)
        lies[target] = colour
        assert each[:4] == (number, source, target, colour)
        assert abs(each.by) <= body.slots / 2
        assert (source - 1 + each.by) % body.slots + 1 == target
        top, end = (number - 1) * MOVE_HIGH, number * MOVE_HIGH
        ways = [strand for strand in layout.strands if strand.over and top <= strand.way[0][1] < end]
        assert {strand.colour for strand in ways} == {colour}
        assert ways[0].way[0] == pytest.approx(((source - 0.5) * SLOT_WIDE, top))
        assert ways[-1].way[-1] == pytest.approx(((target - 0.5) * SLOT_WIDE, end))
        assert len(ways) == (1 if 0 < source + each.by <= body.slots else 2)
    assert layout.last == tuple(lies.get(slot) for slot in range(1, body.slots + 1))
    below = {(x, each.colour) for each in layout.strands for x, y in each.way if y == layout.long + TAIL}
    assert below == {((slot - 0.5) * SLOT_WIDE, colour) for slot, colour in lies.items()}
    assert all(-SLOT_WIDE < x < layout.wide + SLOT_WIDE for each in layout.strands for x, _ in each.way)


def test_written_steps_have_nothing_to_draw() -> None:
    with pytest.raises(CannotDraw) as caught:
        lay_out(design(written("Tie it")))
    assert "\n" not in str(caught.value)


def test_only_the_first_rows_of_a_very_long_band_are_drawn_and_the_description_says_so() -> None:
    layout = lay_out(of(chart("a b c", "f", "b"), 1000))
    assert layout.rows == int(MOST_LONG / FLOSS.row_mm) == 1230
    assert max(each.row for each in layout.knots) == 1230
    assert description(layout) == (
        "about 4 mm wide and 2600 mm long, 2000 rows (1000 repeats of 2); only the first 1230 are drawn"
    )
    assert max(Image.open(BytesIO(png(layout, 0.5))).size) < MOST_ACROSS


def test_description() -> None:
    assert description(lay_out(of(FOUR))) == "about 5 mm wide and 5 mm long, 4 rows"
    assert description(lay_out(of(FOUR), 3)) == "about 5 mm wide and 16 mm long, 12 rows (3 repeats of 4)"
    assert description(lay_out(of(alpha("a", (("b", "a"),))))) == "about 5 mm wide and 2 mm long, 1 row"
    assert description(lay_out(of(ROPE, 32))) == (
        "8 strands on a disk of 32 slots, cut open and laid flat, 128 moves (32 repeats of 4)"
    )


def test_smoothing_cuts_corners_and_keeps_ends() -> None:
    way = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0))
    assert smooth(way, 1) == ((0.0, 0.0), (1.0, 0.0), (3.0, 0.0), (4.0, 1.0), (4.0, 3.0), (4.0, 4.0))
    assert smooth(way[:2]) == way[:2]


@pytest.mark.parametrize("colour", ["#000000", "#ffffff", "#0b3c5d", "#f4f1de", "#808080"])
def test_crease_shade_and_gleam_differ_from_their_colour(colour: str) -> None:
    assert len({colour, crease(colour), shade(colour)}) == 3
    assert gleam(colour) not in (crease(colour), shade(colour))


DRAWN = [of(FOUR, 2), of(alpha("a", (("b", "a", "c"), ("a", "d", "d"))), 3), of(ROPE, 2)]
XML = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("each", DRAWN, ids=lambda each: each.family)
def test_svg_contains_only_shapes(each: Design) -> None:
    layout = lay_out(each)
    root = ElementTree.fromstring(svg(layout))
    kinds = {element.tag.removeprefix(XML) for element in root.iter()}
    assert kinds <= {"svg", "title", "desc", "defs", "g", "polygon", "polyline", "rect", "use"}
    left, top, wide, long = map(float, root.attrib["viewBox"].split())
    assert (root.attrib["width"], root.attrib["height"]) == (f"{wide:.2f}mm", f"{long:.2f}mm")
    assert left < 0 < layout.wide < left + wide
    assert top < -TAIL < layout.long + TAIL < top + long
    values = {
        group.attrib["id"]: {part.attrib["fill"] for part in group}
        for group in root.iter(f"{XML}g")
        if "id" in group.attrib
    }
    link = "{http://www.w3.org/1999/xlink}href"
    used = [(float(use.attrib["x"]), float(use.attrib["y"]), use.attrib[link][1:]) for use in root.iter(f"{XML}use")]
    assert [(x, y) for x, y, _ in used] == [pytest.approx((knot.x, knot.y), abs=1e-3) for knot in layout.knots]
    for (_, _, name), knot in zip(used, layout.knots, strict=True):
        assert layout.colours[knot.colour].value in values[name]


HOSTILE = "</title><script>alert(1)</script>&lt;\"' \x1b[31m\u202e\ufffe \u6df1"


def test_hostile_text_stays_text_in_every_drawing() -> None:
    colours = {
        "a": Colour("a", "#102030", HOSTILE),
        "b": Colour("b", "#f0e0d0", "\u6df1\u84dd"),
        "c": Colour("c", "#108030", "\u0645\u0648\u062c"),
    }
    layout = lay_out(Design(HOSTILE, DIAGONAL, colours, chart("a b c", "f", "b")))
    text = svg(layout)
    root = ElementTree.fromstring(text)
    assert root.findtext(f"{XML}title") == "</title><script>alert(1)</script>&lt;\"' ?[31m?? \u6df1"
    assert not list(root.iter(f"{XML}script"))
    assert text.isprintable() or {sign for sign in text if not sign.isprintable()} == {"\n"}
    for colour in (True, False):
        for line in in_terminal(layout, 40, depth=TRUE_COLOUR if colour else None):
            bare = re.sub(r"\x1b\[[0-9;]+m", "", line)
            assert not [sign for sign in bare if category(sign) in ("Cc", "Cf", "Cs")]
            assert cells_of(bare) == 40
            assert colour or bare == line


@pytest.mark.parametrize("each", DRAWN, ids=lambda each: each.family)
@pytest.mark.parametrize("per_mm", [PER_MM, 5.0])
def test_png_has_the_right_size_and_every_knot_its_colour(each: Design, per_mm: float) -> None:
    layout = lay_out(each)
    image = Image.open(BytesIO(png(layout, per_mm)))
    left, top, right, bottom = layout.box
    assert image.size == (round((right - left) * per_mm), round((bottom - top) * per_mm))
    assert image.info["dpi"] == pytest.approx((per_mm * 25.4,) * 2, abs=0.1)
    for knot in layout.knots:
        found = image.getpixel((int((knot.x - left) * per_mm), int((knot.y - top) * per_mm)))
        # With few pixels per knot, a shadow near its middle is mixed in.
        assert found == pytest.approx(_levels(layout.colours[knot.colour].value), abs=0 if per_mm == PER_MM else 40)
    assert image.getpixel((0, 0)) == _levels(layout.ground())
    if layout.crosses:
        resting = image.getpixel((int((0.5 * SLOT_WIDE - 0.25 - left) * per_mm), int((-TAIL / 2 - top) * per_mm)))
        assert resting == _levels(COLOURS["a"].value)


def _levels(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


def test_a_picture_stays_within_its_size_limits() -> None:
    wide = lay_out(design(full(26, 2)))._replace(wide=600.0, long=1200.0)
    left, top, right, bottom = wide.box
    assert (right - left) * (bottom - top) * scale_of(wide) ** 2 == pytest.approx(MOST_PIXELS)
    narrow = wide._replace(wide=2.0, long=9000.0)
    assert (narrow.box[3] - narrow.box[1]) * scale_of(narrow) < MOST_ACROSS
    assert scale_of(lay_out(of(FOUR))) == PER_MM
