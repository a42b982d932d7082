"""The finished band in terminal cells: in squares of colour, or in signs that tell the colours apart."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR, ColourDepth, is_grey, number_of
from benchmate.craft.design import Design
from benchmate.craft.drawing import GROUNDS, DrawnKnot, Layout, MovedStrand
from benchmate.craft.knots import Knot
from benchmate.display.cells import cells_of
from benchmate.draw.cell_image import in_colour
from benchmate.draw.in_terminal import in_terminal
from benchmate.draw.layout import lay_out
from benchmate.draw.shapes import shade
from benchmate.families.alpha.body import Alpha
from benchmate.families.braid.body import Braid
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.family import DIAGONAL
from tests.charts import bodies, chart, design, full, row, seeded
from tests.unit.test_cells import texts
from tests.unit.test_draw import COLOURS, FOUR, ROPE, braids, of, pictures


def test_signs_tell_knots_and_colours_apart() -> None:
    colours = {name: Colour(name, value, name) for name, value in (("deep", "#0b3c5d"), ("foam", "#f4f1de"))}
    body = Diagonal(("deep", "foam", "foam"), (row("f"), row("b", 2), row("fb"), row("bf", 2), row("-")))
    lines = in_terminal(lay_out(Design("Tide", DIAGONAL, colours, body)), 34, depth=None)
    assert [line.rstrip() for line in lines] == [
        "Tide",
        "d f f",
        "e o o",
        "\\de\\|",
        "| /fo/",
        "\\fo/|",
        "| /de\\",
        "| | |",
        "f f d",
        "o o e",
        "about 4 mm wide and 6 mm long, 5",
        "rows",
        "de deep  fo foam",
    ]


def test_half_cells_show_each_row_shifted_by_half_a_knot() -> None:
    layout = lay_out(of(chart("a b c", "f", "b", "b", "f")))
    ground = layout.ground()
    value = {name: COLOURS[name].value for name in "abc"}
    image = in_colour(layout, 1, 1, 80, layout.ground(), shaded=True)
    # Below the hanging strings: a over b, c over a; then b over c, then over a, by the table of knots.
    assert [[(cell.ink, cell.ground) for cell in line[1:-1]] for line in image.lines[1:3]] == [
        [(value["a"], ground), (value["a"], value["c"]), (ground, value["c"])],
        [(value["c"], ground), (value["c"], value["b"]), (ground, value["b"])],
    ]
    assert [cell.ink for cell in image.lines[0][1:-1]] == [value[name] for name in "abc"]
    assert ground in GROUNDS


@seeded
@given(
    st.one_of(bodies(), pictures(), braids()),
    st.integers(1, 90),
    st.none() | st.integers(1, 30),
    st.booleans(),
)
def test_lines_are_exactly_as_wide_as_the_terminal(
    body: Diagonal | Alpha | Braid, width: int, most: int | None, colours: bool
) -> None:
    lines = in_terminal(lay_out(of(body)), width, most, depth=_depth(colours))
    assert most is None or len(lines) <= most
    for line in lines:
        bare = re.sub(r"\x1b\[(0|[34]8;2(;\d+){3}(;48;2(;\d+){3})?)m", "", line)
        assert bare.isprintable()
        assert cells_of(bare) == width
        assert colours or bare == line
        assert line.count("\x1b[0m") * 2 == line.count("\x1b")


def _depth(colours: bool) -> ColourDepth | None:
    """Every colour, or signs alone."""
    return TRUE_COLOUR if colours else None


def bare(layout: Layout, width: int, most: int | None = None, *, colours: bool = True) -> str:
    return " ".join(
        re.sub(r"\x1b\[[0-9;]+m", "", line).strip() for line in in_terminal(layout, width, most, depth=_depth(colours))
    )


def test_the_caption_says_what_the_window_leaves_out() -> None:
    long = lay_out(of(FOUR, 30))
    assert "are shown" not in bare(long, 80)
    assert "; rows 1 to " in bare(long, 80, 12)
    assert "each column continues in the next" in bare(long, 80, 12)
    wide = lay_out(design(full(26, 8)))
    assert "reduced" not in bare(wide, 80)
    assert "reduced to fit: one place stands for 2 strings and as many rows" in bare(wide, 20)
    assert "one place stands for 3 strings and as many rows" in bare(wide, 20, colours=False)
    assert "one place stands for 2 slots" in bare(lay_out(of(ROPE)), 24)


def test_a_layout_names_its_own_rows_and_places() -> None:
    layout = Layout(
        title="Trial",
        colours={"a": COLOURS["a"]},
        wide=30.0,
        long=60.0,
        rows=12,
        of_rows=24,
        once=12,
        first=("a",) * 10,
        last=("a",) * 10,
        unit="ring",
        across="warp",
        knot_shape="rectangle",
        knots=tuple(DrawnKnot(1.0, 1.0, Knot.FORWARD, "a", row, 1) for row in range(1, 13)),
    )
    assert bare(layout, 80, colours=False).count("\\a") == 12
    words = "about 30 mm wide and 120 mm long, 24 rings (2 repeats of 12); only the first 12 are drawn"
    assert words in bare(layout, 100)
    assert "rings 1 to " in bare(layout, 20, 13)
    assert "one place stands for 3 warps and as many rings" in bare(layout, 8, colours=False)
    rope = layout._replace(
        size="1 strand", knots=(), crosses=(MovedStrand(1, 1, 3, "a", 2),), rows=1, of_rows=1, once=1
    )
    assert "1 strand, 1 ring " in f"{bare(rope, 80)} "
    assert "one place stands for 3 warps " in f"{bare(rope, 6)} "


@seeded
@given(texts, texts, st.integers(1, 60), st.booleans())
def test_no_title_or_colour_name_changes_the_width_of_a_line(title: str, say: str, width: int, colours: bool) -> None:
    called = {"a": Colour("a", "#102030", say), "b": Colour("b", "#f0e0d0", f"{say} {title}")}
    for line in in_terminal(lay_out(Design(title, DIAGONAL, called, chart("a b", "f"))), width, depth=_depth(colours)):
        assert cells_of(re.sub(r"\x1b\[[0-9;]+m", "", line)) == width


def test_each_column_continues_where_the_last_one_ended() -> None:
    layout = lay_out(of(FOUR, 6))
    text = in_terminal(layout, 30, 14, depth=None)
    whole = in_terminal(layout, 30, depth=None)
    assert len(text) == 14
    assert text[-1] == whole[-1] == f"{'a  a  b  b  c  c  d  d':<30}"
    high = next(at for at, line in enumerate(text) if line.startswith("about")) - 2
    assert [line[:8] for line in text[2 : 2 + high]] == [line[:8] for line in whole[1 : 1 + high]]
    assert [line[10:18] for line in text[2 : 2 + high]] == [line[:8] for line in whole[1 + high : 1 + 2 * high]]
    # Two lines come before the rows.
    assert text[1].split()[:2] == ["1", str(high - 1)]


@pytest.mark.parametrize(
    ("token", "dark"),
    [("f", {(0, 3), (1, 0)}), ("b", {(0, 0), (1, 3)}), ("fb", {(0, 3), (1, 3)}), ("bf", {(0, 0), (1, 0)})],
)
def test_a_large_knot_is_dark_in_the_corners_it_leans_away_from(token: str, dark: set[tuple[int, int]]) -> None:
    layout = lay_out(of(chart("a b", token)))
    value = COLOURS["a" if token.startswith("f") else "b"].value
    image = in_colour(layout, 2, 2, 80, layout.ground(), shaded=True)
    upper, lower = zip(*[(cell.ink, cell.ground) for cell in image.lines[1][1:-1]], strict=True)
    for down, squares in enumerate((upper, lower)):
        assert squares == tuple(shade(value) if (down, across) in dark else value for across in range(4))


def test_braid_moves_go_the_shorter_way_round() -> None:
    layout = lay_out(of(Braid(5, ((1, "a"), (3, "b")), ((1, 2), (3, 1), (2, 5)))))
    lines = in_terminal(layout, 12, depth=None)
    assert lines[1:8] == [
        *("a   b       ", "            "),
        *("+-a |       ", "b --+       ", "--+     a   ", "b       a   "),
        "            ",
    ]
    a, b, ground = COLOURS["a"].value, COLOURS["b"].value, layout.ground()
    image = in_colour(layout, 2, 2, 80, ground, shaded=True)
    crossing, rest = zip(*[(cell.ink, cell.ground) for cell in image.lines[1][1:-1]], strict=True)
    assert crossing == (a, a, a, ground, b, *[ground] * 5)
    assert rest == (ground, ground, a, ground, b, *[ground] * 5)


@pytest.mark.parametrize("colours", [True, False])
def test_more_colours_than_pairs_of_letters_and_digits(colours: bool) -> None:
    values = {f"c{number}": Colour(f"c{number}", f"#{number:06x}", f"c{number}") for number in range(1300)}
    rows = tuple(tuple(f"c{row * 26 + column}" for column in range(26)) for row in range(50))
    body = Alpha("c0", rows, "left", tuple(values))
    lines = in_terminal(lay_out(of(body)._replace(colours=values)), 80, depth=_depth(colours))
    assert "c1299" in lines[-1]
    legend = dict(re.findall(r"(?<!\S)(\S\S?) {1,2}(c\d+)(?!\S)", " ".join(lines)))
    assert len(legend) == (0 if colours else 1300)
    assert len(set(legend.values())) == len(legend)


@pytest.mark.parametrize(
    ("colours", "codes"), [(16, r"(?:[34]|9|10)[0-7]"), (256, r"[34]8;5;\d+"), (0, r"[34]8;2;\d+;\d+;\d+")]
)
def test_colours_are_sent_in_the_way_the_terminal_knows(colours: int, codes: str) -> None:
    depth = ColourDepth(colours)
    design = of(FOUR, 8).on_screen(depth)
    sent = re.findall(r"\x1b\[([0-9;]+)m", "".join(in_terminal(lay_out(design), 80, depth=depth)))
    assert any(code != "0" for code in sent)
    assert all(re.fullmatch(f"0|{codes}(?:;{codes})?", code) for code in sent), sent


def test_few_colours_are_never_shaded_into_one_another() -> None:
    for colours in (16, 256):
        depth = ColourDepth(colours)
        layout = lay_out(of(FOUR, 8).on_screen(depth))
        values = {layout.colours[name].value for name in layout.used}
        numbers = {f"{number_of(value, colours)}" for value in values}
        text = "".join(in_terminal(layout, 80, depth=depth))
        ground = number_of(layout.ground([grey for grey in depth.choice if is_grey(grey)]), colours)
        if colours == 256:
            assert set(re.findall(r"[34]8;5;(\d+)", text)) == {*numbers, f"{ground}"}
        assert ground not in map(int, numbers)
